"""What is read into the source, and how it is notated.

Voices, lengths, octaves, spelling, bars, apparatus, performance, the singer's copy.
"""
