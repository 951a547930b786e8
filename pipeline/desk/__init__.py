"""The editor's desk: misprints, comparing, the retuning sheet, the proof page. Each keeps its records, logic and page together."""
