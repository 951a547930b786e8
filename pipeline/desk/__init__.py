"""The editor's desk: misprints, comparing, the retuning sheet, the proof page.

Each keeps its records, its logic and its page together.
"""
