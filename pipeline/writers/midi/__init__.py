"""A performance as a Standard MIDI File."""

from pipeline.writers.midi.document import write_midi

__all__ = ["write_midi"]
