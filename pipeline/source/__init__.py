"""What the source says: typed text to signs, declared headings, sounding pitches, sung lines, checks."""
