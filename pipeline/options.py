"""What a run is asked to do, apart from the pieces themselves."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Options:
    """Empty so far: all that shapes an edition stands in the encoding, where it can be reviewed and kept. What is
    added here must change nothing but which artefacts are made."""
