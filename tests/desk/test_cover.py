"""The cover sheet of a set: one page, each thing once."""

from __future__ import annotations

import io
import re

import pypdfium2
import pytest

from pipeline.desk.cover.cover import Set, cover_of
from pipeline.desk.cover.record import Cover, Person
from pipeline.desk.cover.writers.page import cover_page
from pipeline.desk.cover.writers.pdf import cover_pdf
from pipeline.desk.programme.writers.words import CAUTIONS
from pipeline.edition.spell import spell
from pipeline.findings.codes.moving import OCTAVE_CHANGED
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.interval import Interval
from pipeline.model.options import Sheet
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.song import Song
from pipeline.model.text import Span
from tests.desk.moved import moved as moved_text
from tests.desk.moved import music, read

PERSONS = (
    Person("Player", (("player/part.pdf", "the tablature"), ("player/practice.mid", "the practice file"))),
    Person("Bass", (("bass/bass.pdf", "the bass with its figures"),)),
)


def cover(lost: tuple[Diagnostic, ...] = (), instrument: str = "") -> Cover:
    """D minor moved to B minor: on the theorbo in A the B string is down a semitone in neither."""
    source = music("| 1=12,4:2 |||\n")
    made = moved_text(source, "-m3", instrument)
    played = read(made.text).led.sounding
    return cover_of(Set(spell(source.led), Song(), Interval(-2, -3), played, Signs.ITALIAN, lost, PERSONS))


def text_of(pdf: bytes) -> tuple[int, str]:
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    return len(document), " ".join(document[0].get_textpage().get_text_bounded().split())


def test_keys_pitch_and_instrument() -> None:
    facts = dict(cover(instrument="archlute in G").facts)
    assert facts["Key"] == "B minor, a minor third down (source: D minor)"
    assert facts["Pitch"] == "not declared: agree on it"
    assert facts["Tablature"] == "archlute in G (source: theorbo in A)"
    assert facts["Bass"] == "read from the tablature; figures worked out"
    assert "Signs" not in facts


def test_only_strings_that_move_bring_the_cautions() -> None:
    still = replace(cover(), tuned=replace(cover().tuned, moves=()))
    assert not any(said in cover_page(still).decode() for said in CAUTIONS)
    moving = cover()
    if not moving.tuned.moves:
        pytest.fail("the example must retune a string")
    page = cover_page(moving).decode()
    assert all(page.count(said) == 1 for said in CAUTIONS)


@pytest.mark.parametrize("paper", Sheet)
@pytest.mark.parametrize("bars", [3, 400])
def test_it_is_one_page_and_says_what_it_leaves_out(bars: int, paper: Sheet) -> None:
    lost = tuple(
        Diagnostic(OCTAVE_CHANGED, Span("a.intav", 1, 1, 1), f"Bar {bar}.", bar=str(bar)) for bar in range(1, bars + 1)
    )
    sheet = cover(lost)
    long = replace(sheet, decided=(*sheet.decided, *(f"Decision {number}" for number in range(bars // 8))))
    pages, text = text_of(cover_pdf(long, paper))
    assert pages == 1
    shown = len(re.findall(r"Decision \d+", text))
    left = re.search(r"(\d+) more, in the notes", text)
    assert shown + (int(left[1]) if left else 0) >= bars // 8


def test_each_kind_of_decision_is_said_once_with_its_bars() -> None:
    lost = tuple(
        Diagnostic(OCTAVE_CHANGED, Span("a.intav", 1, 1, 1), f"Bar {bar}.", bar=bar) for bar in ("2", "2", "5")
    )
    (said,) = cover(lost).decided
    assert said.endswith("a note of the theorbo in bars 2, 5.")


def test_the_same_bytes() -> None:
    assert cover_page(cover()) == cover_page(cover())
    assert cover_pdf(cover()) == cover_pdf(cover())
