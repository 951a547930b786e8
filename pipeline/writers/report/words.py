"""How the place of an entry is said, the same on the page and in the table."""

from __future__ import annotations

from pipeline.model.apparatus import Entry

UPBEAT = "upbeat"


def bar_said(entry: Entry) -> str:
    """The number of the bar as printed."""
    return entry.bar or UPBEAT


def event_said(entry: Entry) -> str:
    """The number of the event in its bar; empty for the bar as a whole."""
    return str(entry.event) if entry.event else ""


def course_said(entry: Entry) -> str:
    """The number of the course; empty where none is meant."""
    return str(entry.course) if entry.course else ""
