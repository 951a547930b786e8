"""The events document: every sign with its place, what it is, what sounds, and how it was read."""

from pipeline.writers.events.document import write_events

__all__ = ["write_events"]
