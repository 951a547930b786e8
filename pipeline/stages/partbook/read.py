"""A notation file to one part of it, with a finding at the heading line for whatever is wrong."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from pipeline.codes.song import VOICE_FILE_BROKEN, VOICE_FILE_MISSING, VOICE_FILE_PART, VOICE_FILE_UNSAFE
from pipeline.diagnostics import Code, Diagnostic, Outcome
from pipeline.limits import LONGEST_VOICE, VOICE_FILE_BYTES, VOICE_KIND_BYTES
from pipeline.model.heading import Layer
from pipeline.model.song import PartBook
from pipeline.model.voicefile import VoiceFile
from pipeline.source import Span
from pipeline.stages.partbook.midi import crotchets
from pipeline.stages.partbook.safety import BrokenError, UnsafeError, clean_musicxml, unpacked

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
        content = _content(file, kind)
        # Imported late: music21 takes longer to load than a piece takes to make, and few pieces name a file.
        from pipeline.stages.partbook.music21_parts import part_of  # noqa: PLC0415

        part, remarks = part_of(content, kind, layer)
    except UnsafeError as error:
        hint = "Save it again with a notation program."
        return refused(VOICE_FILE_UNSAFE, f"{layer.file} is refused: {error}.", hint)
    except BrokenError as error:
        return refused(VOICE_FILE_BROKEN, f"{layer.file} cannot be read: {error}.")
    found = tuple(Diagnostic(VOICE_FILE_PART, place, f"{layer.file}: {remark}.") for remark in remarks)
    return Outcome(part, found)


def _content(file: VoiceFile, kind: str) -> bytes | str:
    """What music21 is given: XML made harmless, text decoded, MIDI as it is."""
    most = VOICE_KIND_BYTES.get(kind, VOICE_FILE_BYTES)
    if len(file.data) > most:
        raise BrokenError(f"it holds more than {most // 2**10:,} KB; keep only the part that is sung, or use MusicXML")
    if kind != "midi" and _LONG_NUMBER.search(file.data) and kind != "musicxml":
        raise BrokenError("it has a number that no music needs")
    if kind == "midi":
        if not file.data.startswith(b"MThd"):
            raise BrokenError("it is no MIDI file")
        if crotchets(file.data) > LONGEST_VOICE:
            raise BrokenError(f"it lasts longer than {LONGEST_VOICE:,} crotchets")
        return file.data
    if kind == "musicxml":
        packed = file.data.startswith(b"PK\x03\x04") or file.name.lower().endswith(".mxl")
        return clean_musicxml(unpacked(file.data) if packed else file.data).decode()
    try:
        return file.data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return file.data.decode("latin-1")  # old ABC and kern files have no other encoding
