"""What is read into the source and how it is notated: voices, lengths, octaves, spelling, bars, apparatus, the singer's copy."""
