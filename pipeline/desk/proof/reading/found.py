"""The marks beside a piece, or what is wrong with their file."""

from __future__ import annotations

from pipeline.desk.proof.reading.marks import Marks, NotMarksError, read_marks
from pipeline.findings.codes.files import MARKS_UNREADABLE
from pipeline.model.artefacts import MARKS
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.text import SourceText, Span
from pipeline.model.voicefile import VoiceFile

_SUFFIX = ".intav"
_HINT = "Save it from the proof page again, or mend it by hand: the edition does not depend on it."


def marks_found(piece: SourceText, file: VoiceFile | None) -> Outcome[Marks | None]:
    """The marks in the file beside a piece; None where there is no file, or none that can be read: then a finding says
    why."""
    if file is None:
        return Outcome(None)
    try:
        if file.refused:
            raise NotMarksError(file.refused)
        return Outcome(read_marks(file.data))
    except NotMarksError as error:
        name = f"{piece.name.removesuffix(_SUFFIX)}{MARKS}"
        place = Span(name, error.line, error.column, error.column)
        message = f"The marks of proof-reading cannot be read: {error}."
        return Outcome(None, (Diagnostic(MARKS_UNREADABLE, place, message, _HINT),))
