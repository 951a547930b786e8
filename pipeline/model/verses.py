"""Verses printed as text after the music: how their lines are told apart."""

from __future__ import annotations


def verse_lines(text: str) -> tuple[str, ...]:
    """The lines of a stanza, which is typed in one with `` / `` between them."""
    return tuple(line.strip() for line in text.split(" / ") if line.strip())
