"""The editor's desk: misprints, comparing, the retuning sheet, the proof page, what a text editor is told.

Each keeps its records, its logic and its page together.
"""
