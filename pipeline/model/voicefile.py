"""A notation file beside a piece. By itself, so that files can be read without loading the records of music."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class VoiceFile:
    """A notation file as found beside the piece: its bytes, or in ``refused`` why there are none."""

    name: str
    data: bytes = b""
    refused: str = ""
