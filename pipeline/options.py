"""What a run is asked to do, apart from the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Options:
    """``pages`` asks for the engraved pages, by far the slowest of the artefacts."""

    pages: bool = True
