"""The trade's words as frozen records: no reading of files, no decisions."""
