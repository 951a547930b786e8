"""Hostile input: mutated pieces, headings, voice files and records; families of texts that grow."""
