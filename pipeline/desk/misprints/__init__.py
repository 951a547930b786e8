"""Probable misprints: the search, the proposals that it leads to, and writing an accepted one into the text."""
