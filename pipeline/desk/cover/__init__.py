"""The cover sheet of a set for the rehearsal: what everybody should know before the first note, on one page."""
