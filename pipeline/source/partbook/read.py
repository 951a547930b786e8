"""A notation file to one part of it, with a finding at the heading line for whatever is wrong."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.findings.codes.song import VOICE_FILE_BROKEN, VOICE_FILE_MISSING, VOICE_FILE_PART, VOICE_FILE_UNSAFE
from pipeline.model.diagnostics import Code, Diagnostic, Outcome
from pipeline.model.heading import Layer
from pipeline.model.limits import VOICE_FILE_BYTES, VOICE_KIND_BYTES
from pipeline.model.song import PartBook
from pipeline.model.text import Span
from pipeline.model.voicefile import VoiceFile
from pipeline.source.partbook.bounds import (
    bounded_abc,
    bounded_kern,
    bounded_musicxml,
    unread_ornaments,
    unread_signs,
    without_the_unread,
)
from pipeline.source.partbook.midi import cleaned
from pipeline.source.partbook.safety import BrokenError, TooMuchError, UnsafeError, score_of, unpacked, written_out

#: So many kinds of signs that are not read are named.
MOST_NAMED = 8
#: No note of ABC or kern is as long as this.
_LONG_NUMBER = re.compile(rb"\d{6}")
#: music21's name of each kind of file.
_FORMATS = {
    ".musicxml": "musicxml",
    ".xml": "musicxml",
    ".mxl": "musicxml",
    ".abc": "abc",
    ".krn": "humdrum",
    ".mid": "midi",
    ".midi": "midi",
}


def read_part(file: VoiceFile, layer: Layer, place: Span) -> Outcome[PartBook | None]:
    """The part that a layer takes from its file; None, with a finding, if it cannot be had. Never raises."""

    def refused(code: Code, message: str, hint: str = "") -> Outcome[PartBook | None]:
        return Outcome(None, (Diagnostic(code, place, message, hint),))

    if file.refused:
        hint = "The path counts from the folder of the piece, and stays inside the collection."
        return refused(VOICE_FILE_MISSING, f"{layer.file} cannot be read: {file.refused}.", hint)
    kind = _FORMATS.get(PurePosixPath(file.name.lower()).suffix, "")
    try:
        content, left = _content(file, kind)
        # Imported late: music21 takes longer to load than a piece takes to make, and few pieces name a file.
        from pipeline.source.partbook.music21_parts import part_of  # noqa: PLC0415

        part, remarks = part_of(content, kind, layer)
    except UnsafeError as error:
        hint = "Save it again with a notation program."
        return refused(VOICE_FILE_UNSAFE, f"{layer.file} is refused: {error}.", hint)
    except TooMuchError as error:
        return refused(TOO_MUCH, f"{layer.file} holds more than is read: {error}.")
    except BrokenError as error:
        return refused(VOICE_FILE_BROKEN, f"{layer.file} cannot be read: {error}.")
    if left:
        remarks = (*remarks, f"signs over its notes are not read: {', '.join(left[:MOST_NAMED])}")
    found = tuple(Diagnostic(VOICE_FILE_PART, place, f"{layer.file}: {remark}.") for remark in remarks)
    return Outcome(part, found)


def _content(file: VoiceFile, kind: str) -> tuple[bytes | str, tuple[str, ...]]:
    """What music21 is given (XML made harmless, text decoded, MIDI with nothing but what is read of it), and the signs
    over notes that are not read, by name."""
    most = VOICE_KIND_BYTES.get(kind, VOICE_FILE_BYTES)
    if len(file.data) > most:
        advice = "keep only the part that is sung, or use MusicXML"
        raise TooMuchError(f"it holds more than {most // 2**10:,} KB; {advice}")
    if kind == "midi":
        return cleaned(file.data), ()
    if kind == "musicxml":
        packed = file.data.startswith(b"PK\x03\x04") or file.name.lower().endswith(".mxl")
        score = score_of(unpacked(file.data) if packed else file.data)
        bounded_musicxml(score)
        left = unread_ornaments(score)
        without_the_unread(score)
        return written_out(score), left
    if _LONG_NUMBER.search(file.data):
        raise BrokenError("it has a number larger than any music needs")
    text = _decoded(file.data)
    if kind == "abc":
        return bounded_abc(text), unread_signs(text)
    bounded_kern(text)
    return text, ()


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")  # old ABC and kern files have no other encoding
