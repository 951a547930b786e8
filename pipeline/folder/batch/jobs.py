"""The records of a batch: what is asked, what travels to the work and back, what became of it."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.folder.files import PieceFile, RawFile
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.facsimile import ImageFile
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile

if TYPE_CHECKING:
    from pipeline.desk.volume.record import Leaf


@dataclass(frozen=True, slots=True)
class Job:
    """One piece to work on, and the folder for its outputs (None: nothing is written), which must lie ``within``
    another, where one is given."""

    piece: PieceFile
    folder: Path | None = None
    within: Path | None = None


@dataclass(frozen=True, slots=True)
class Parcel:
    """All that a piece is made from, as bytes, to be sent to another process or machine.

    ``name`` is what the artefacts call the piece; ``headings`` are those it inherits, outermost first; ``files`` the
    notation files that they name, ``images`` what is known of the images of the source, which stay where they are;
    ``home`` leads from the folder of the outputs to the page of all pieces; ``marks`` is the file of whoever
    proof-reads it, None where there is none. Names are paths within the collection, the
    same wherever the work is done.
    """

    name: str
    text: RawFile
    headings: tuple[RawFile, ...] = ()
    files: tuple[VoiceFile, ...] = ()
    images: tuple[ImageFile, ...] = ()
    home: str = ""
    marks: VoiceFile | None = None

    @property
    def texts(self) -> tuple[RawFile, ...]:
        """Headings and text, in the order in which they are read."""
        return (*self.headings, self.text)


@dataclass(frozen=True, slots=True)
class Made:
    """What came of a parcel. ``artefacts`` are (file name, content) pairs; ``images`` are pairs of
    a name beside them and the path, as typed, of the image to be copied there; ``fault`` is the text of an internal
    fault, empty if there was none; ``leaf`` is the piece as a volume sets it, where that was asked for."""

    diagnostics: tuple[Diagnostic, ...]
    artefacts: tuple[tuple[str, bytes], ...] = ()
    warnings: tuple[str, ...] = ()
    title: str = ""
    fault: str = ""
    images: tuple[tuple[str, str], ...] = ()
    leaf: Leaf | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """What became of one piece. ``name`` and all places are as shown to the user; ``sources`` are the texts that its
    findings speak of; ``written`` are its artefacts as they now stand in its folder; ``warnings`` is what the engraver
    said; ``changed`` says that tidying changes the file; ``fault`` is the text of an internal fault, empty if there
    was none; ``title`` is that of the edition; ``kept`` says that an earlier build still stood, ``unbuilt`` that the
    piece was to be built and nothing came of it: what is ``written`` is then of an earlier build, beside the findings
    that say why."""

    name: str
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...] = ()
    written: tuple[Path, ...] = ()
    warnings: tuple[str, ...] = ()
    changed: bool = False
    fault: str = ""
    title: str = ""
    kept: bool = False
    unbuilt: bool = False


@dataclass(frozen=True, slots=True)
class Crew:
    """Who does the work: any executor, on ``width`` pieces at a time. One that has given no answer for ``patience``
    seconds, with work under way, counts as gone (None: never)."""

    executor: Executor
    width: int
    patience: float | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """What the work on one piece may take: seconds, and megabytes of memory; 0 for as much as there is."""

    seconds: float
    megabytes: int
