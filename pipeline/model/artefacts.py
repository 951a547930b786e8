"""The one table of what a build makes of a piece: each file's name, the form it belongs to, what readers call it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum


class Form(Enum):
    """The forms that an edition is written in; the findings are always written too."""

    MUSICXML = "musicxml"
    MEI = "mei"
    SVG = "svg"
    PDF = "pdf"
    MIDI = "midi"
    EVENTS = "events"
    PROOF = "proof"
    REPORT = "report"


#: What is made where nothing else is asked for.
USUAL = tuple(form for form in Form if form not in (Form.PDF, Form.MIDI))

EDITION, PART, COPY, BASS = "edition", "part", "reduction", "bass"
MIDI, EVENTS, PROOF = "practice.mid", "events.xml", "proof.html"
FINDINGS, NOT_BUILT = "findings.json", "not-built.json"
#: How far the piece is proof-read, where its reader's marks lie beside it in a file that ends in ``MARKS``.
PROGRESS, MARKS = "progress.json", ".read.json"
REPORT, REPORT_TABLE = "critical-report.html", "critical-report.csv"

#: What readers call the scores.
CALLED = {EDITION: "Edition", PART: "Player’s part", COPY: "Singer’s copy", BASS: "Bass part"}


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of file. ``name`` is a file name, with ``#`` where a number of three digits or more stands; ``form`` is
    None for what every build makes; ``called`` is empty for a file that no page links to by a name."""

    name: str
    form: Form | None
    called: str

    def matches(self, name: str) -> bool:
        return re.fullmatch(re.escape(self.name).replace(r"\#", r"\d{3,}"), name) is not None


#: In the order in which pages list them.
KINDS = (
    Kind(f"{EDITION}-#.svg", Form.SVG, "Edition, page"),
    Kind(f"{PART}-#.svg", Form.SVG, "Player’s part, page"),
    Kind(f"{COPY}-#.svg", Form.SVG, "Singer’s copy, page"),
    Kind(f"{BASS}-#.svg", Form.SVG, "Bass part, page"),
    Kind(REPORT, Form.REPORT, "Critical report"),
    Kind(REPORT_TABLE, Form.REPORT, "Critical report as a table"),
    Kind(f"{EDITION}.pdf", Form.PDF, "Edition, PDF"),
    Kind(f"{PART}.pdf", Form.PDF, "Player’s part, PDF"),
    Kind(f"{COPY}.pdf", Form.PDF, "Singer’s copy, PDF"),
    Kind(f"{BASS}.pdf", Form.PDF, "Bass part, PDF"),
    Kind(f"{EDITION}.musicxml", Form.MUSICXML, "Edition, MusicXML"),
    Kind(f"{EDITION}.mei", Form.MEI, "Edition, MEI"),
    Kind(f"{PART}.musicxml", Form.MUSICXML, "Player’s part, MusicXML"),
    Kind(f"{PART}.mei", Form.MEI, "Player’s part, MEI"),
    Kind(f"{COPY}.musicxml", Form.MUSICXML, "Singer’s copy, MusicXML"),
    Kind(f"{COPY}.mei", Form.MEI, "Singer’s copy, MEI"),
    Kind(f"{BASS}.musicxml", Form.MUSICXML, "Bass part, MusicXML"),
    Kind(f"{BASS}.mei", Form.MEI, "Bass part, MEI"),
    Kind(MIDI, Form.MIDI, "MIDI to practise with"),
    Kind(EVENTS, Form.EVENTS, "Every sign, XML"),
    Kind(FINDINGS, None, "Findings, JSON"),
    Kind(NOT_BUILT, None, "Why there is no newer build, JSON"),
    Kind(PROOF, Form.PROOF, ""),
    Kind(PROGRESS, Form.PROOF, ""),
    *(Kind(f"facsimile-#.{ending}", Form.PROOF, "") for ending in ("png", "jpg", "webp")),
)


def page_name(score: str, number: int) -> str:
    """The name of a page of a score, counted from 1."""
    return f"{score}-{number:03d}.svg"


def proof_address(at: str) -> str:
    """What stands behind ``#`` in the address of a sign or bar on a proof page. That of a bar is ``m12``, the twelfth
    typed: ``b12`` is what a reader types, and means the number in print."""
    return f"m{at[1:]}" if at[:1] == "b" and at[1:].isdigit() else at


def is_artefact(name: str) -> bool:
    """True for the names of files that a build makes: these it may take away again."""
    return any(kind.matches(name) for kind in KINDS)


def called(names: Iterable[str]) -> Iterator[tuple[str, str]]:
    """The files that readers have a name for, as (file name, what it is called), in the order of the table. Several
    pages of a score are numbered."""
    there = list(names)
    for kind in KINDS:
        mine = [name for name in there if kind.called and kind.matches(name)]
        for number, name in enumerate(mine, start=1):
            yield name, f"{kind.called} {number}" if len(mine) > 1 else kind.called
