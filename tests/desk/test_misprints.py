"""The search for misprints: each kind of slip is found where it was made, with the mend that takes it back.

The slips are those of ``facts`` in the project's sources: rhythm signs missing or misplaced first (PS: errata of a
modern edition naming prints of 1603 and 1610), then a sign one line off, digits confused (1/7, 3/5, 0/6), a bar line
missing or doubled, a slash dropped (common practice, no source). How often they are found in real music is measured by
``python -m tests.benchmarks.misprints``.
"""

from __future__ import annotations

import pytest

from pipeline.desk.misprints.proposal import Slip, Suspicion
from pipeline.desk.misprints.search import misprints
from pipeline.desk.misprints.search.lookalikes import lookalikes
from pipeline.model.presets import FALLBACK
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.read import sounding_piece
from tests.desk.test_collate import FIGURES, LETTERS
from tests.made import resolved

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
FRENCH = HEADING + "signs french\n"
#: A ground in D minor, four bars three times; every bar adds up.
GROUND = """\
| 4=X,4:2,3:3,2:1 8=3:5 3:6 4=3:5 3:3
| 4=11,4:0,3:5 8=3:3 3:1 4=3:3 3:5
| 4=8,4:2,3:1 8=3:3 3:5 4=3:3 3:1
| 2=13,4:2,3:2,2:0 4=13,4:2,3:2 4:2
"""


def piece(music: str, heading: str = HEADING) -> SoundingPiece:
    return resolved(music, heading)[0]


def first(music: str, heading: str = HEADING) -> list[Suspicion]:
    """The likeliest mend of each place."""
    return [way for way in misprints(piece(music, heading)) if way.rank == 1]


def test_nothing_is_suspected_where_all_is_well() -> None:
    assert misprints(piece(GROUND * 3)) == ()


@pytest.mark.parametrize(
    ("right", "printed", "slip", "typed", "proposed"),
    [
        # the quaver sign is left out: the next crotchet sign would say again what holds
        ("3:5 3:6 4=3:5 3:3", "?", Slip.SIGN_MISSING, "", "8!="),
        ("8=3:5 3:6 4=3:5 3:3", "16=3:5 3:6 4=3:5 3:3", Slip.SIGN_WRONG, "16", "8!16"),
        ("8=3:5 3:6 4=3:5 3:3", "8=3:5 4=3:6 4=3:5 3:3", Slip.SIGN_EXTRA, "4", "!4"),
    ],
)
def test_rhythm_signs(right: str, printed: str, slip: Slip, typed: str, proposed: str) -> None:
    good = "| 4=X,4:2,3:3,2:1 8=3:5 3:6 4=3:5 3:3"
    bad = good.replace("8=3:5", "3:5") if printed == "?" else good.replace(right, printed)
    assert bad != good
    (found,) = first(GROUND * 2 + GROUND.replace(good, bad))
    edit = found.edits[0]
    assert (found.slip, found.label, edit.before, edit.after + edit.tail) == (slip, "9", typed, proposed)
    assert found.chance > 0.5
    assert any("adds up" in reason or "metre asks" in reason for reason in found.reasons)


def test_a_sign_that_holds_into_the_next_bar_mends_both() -> None:
    """The phrase counts, not one bar: the missing crotchet sign holds on over the bar line."""
    bars = ["| 8=3:3 3:5 3:6 3:5 4=3:3 3:1", "| 3:3 3:5 3:6 3:5", "| 8=3:3 3:5 3:6 3:5 4=3:3 3:1", "| 1=3:3"]
    bad = [bars[0].replace("4=", ""), *bars[1:]]
    (found,) = first("\n".join([*bars, *bars, *bad]) + "\n")
    assert (found.slip, found.label) == (Slip.SIGN_MISSING, "9")
    assert found.edits[0].after == "4!"
    assert "the next bar then adds up too" in found.reasons


def test_bar_line_missing_and_too_many() -> None:
    lines = GROUND.splitlines()
    joined = "\n".join([*lines, *lines, f"{lines[0]} {lines[1][2:]}", *lines[2:]])
    (found,) = first(joined)
    assert (found.slip, found.label, found.event) == (Slip.BAR_LINE_MISSING, "9", "b9e6")
    parted = "\n".join([*lines, *lines, "| 4=X,4:2,3:3,2:1 8=3:5 3:6", "| 4=3:5 3:3", *lines[1:]])
    (found,) = first(parted)
    assert (found.slip, found.label) == (Slip.BAR_LINE_EXTRA, "9")
    assert found.edits[0].after == "+ !|"


@pytest.mark.parametrize(
    ("good", "bad", "slip", "proposed"),
    [
        ("11,4:0,3:5", "11,4:0,3:3", Slip.FIGURE_CONFUSED, "3:5!3:3"),
        ("8,4:2,3:1", "8,4:2,3:7", Slip.FIGURE_CONFUSED, "3:1!3:7"),
        ("13,4:2,3:2,2:0", "13,5:2,3:2,2:0", Slip.LINE_OFF, "4:2!5:2"),
        ("8,4:2,3:1", "7,4:2,3:1", Slip.DIAPASON_CONFUSED, "8!7"),
    ],
)
def test_stops_that_the_same_passage_has_otherwise(good: str, bad: str, slip: Slip, proposed: str) -> None:
    assert GROUND.count(good) == 1
    (found,) = first(GROUND * 3 + GROUND.replace(good, bad))
    assert (found.slip, found.edits[0].after) == (slip, proposed)
    assert any("the same passage has it in bar" in reason for reason in found.reasons)


def test_a_slash_dropped() -> None:
    french = GROUND.replace("X,", "///a,").replace("11,", "4,").replace("| 4=8,", "| 4=/a,").replace("13,", "6,")
    for figure, letter in ((str(number), "abcdefg"[number]) for number in range(7)):
        for course in (2, 3, 4):
            french = french.replace(f"{course}:{figure}", f"{course}{letter}")
    assert misprints(piece(french * 3, FRENCH)) == ()
    (found,) = first(french * 3 + french.replace("/a,4c,3b", "a,4c,3b"), FRENCH)
    assert (found.slip, found.edits[0].after) == (Slip.DIAPASON_CONFUSED, "/a!a")


def test_a_slur_stays_on_its_course() -> None:
    slurred = "| 8=4:0 _4:2 4:3 3:0 _3:2 3:3 3:5 3:3\n"
    bad = slurred.replace("_3:2", "_2:2")
    found = [way for way in misprints(piece(slurred * 3 + bad)) if way.slip is Slip.LINE_OFF]
    assert found
    assert found[0].edits[0].after == "3:2!2:2"
    assert "a slur stays on its course" in found[0].reasons


def test_siblings_are_evidence() -> None:
    """A passage of another piece of the folder speaks for its reading."""
    bad = GROUND.replace("11,4:0,3:5", "11,4:0,3:3")
    other = resolved(GROUND * 3, HEADING)[0]
    named = SoundingPiece(
        type(other.tablature)(
            other.tablature.version, other.tablature.heading, other.tablature.inherited, other.tablature.body,
            other.tablature.signs, other.tablature.comment, "other.intav",
        ),
        other.heading, other.bars, other.closing,
    )  # fmt: skip
    alone = {way.edits[0].after: way.chance for way in misprints(piece(bad))}
    beside = {way.edits[0].after: way.chance for way in misprints(piece(bad), [named])}
    assert beside["3:5!3:3"] > alone.get("3:5!3:3", 0.0)


def _opening(name: str, text: str) -> SoundingPiece:
    return sounding_piece(SourceText.of(name, text), ()).value


ONE, TWO = _opening("a.intav", FIGURES), _opening("b.intav", LETTERS)


def test_two_misprints_of_1546_are_shown_by_the_other_print() -> None:
    # Two real prints: bar 3, event 3 has fret 3 where the other print, and the music, has 2; bar 5, event 2 has 4, and
    # not 0. Published examples of the MEI tablature interest group, typed from the facsimiles.
    found = misprints(ONE, [TWO])
    assert [(way.slip, way.stop, way.edits[0].after) for way in found] == [
        (Slip.PRINTS_DIFFER, "b3e3c2", "2:2!2:3"),
        (Slip.PRINTS_DIFFER, "b5e2c2", "2:0!2:4"),
    ]
    assert all(way.reasons[0] == "b.intav has the same music, and this note in it" for way in found)
    assert misprints(TWO, [ONE]) == (), "the print that is right has nothing to mend"
    assert misprints(ONE) == ()


def test_another_source_may_be_in_another_key_on_another_instrument() -> None:
    tone_up = _opening("b.intav", LETTERS.replace("lute in G", "lute in A"))
    assert {way.stop for way in misprints(ONE, [tone_up])} == {"b3e3c2", "b5e2c2"}


def test_other_music_is_no_other_source() -> None:
    other = resolved(GROUND * 3, HEADING)[0]
    named = replace(other, tablature=replace(other.tablature, name="other.intav"))
    assert not [way for way in misprints(ONE, [named]) if way.slip is Slip.PRINTS_DIFFER]


def test_what_the_editor_has_mended_is_left_alone() -> None:
    mended = GROUND.replace("11,4:0,3:5", "11,4:0,3:5!3:3")
    assert misprints(piece(GROUND * 3 + mended)) == ()


@pytest.mark.parametrize("signs", list(Signs))
def test_what_looks_alike_looks_alike_both_ways(signs: Signs) -> None:
    instrument = FALLBACK.instrument
    for course in range(1, len(instrument.courses) + 1):
        for fret in range(13 if course <= instrument.stopped else 1):
            for other in lookalikes(course, fret, instrument, signs):
                back = lookalikes(other.course, other.fret, instrument, signs)
                assert (course, fret) in {(one.course, one.fret) for one in back}


def test_places_and_ranks() -> None:
    bad = GROUND.replace("8=3:5 3:6", "3:5 3:6").replace("8=3:3 3:1", "3:3 3:1")
    found = misprints(piece(GROUND * 2 + bad))
    assert sorted({way.place for way in found}) == list(range(len({way.place for way in found})))
    for place in {way.place for way in found}:
        ways = [way for way in found if way.place == place]
        assert [way.rank for way in ways] == list(range(1, len(ways) + 1))
        assert [way.chance for way in ways] == sorted((way.chance for way in ways), reverse=True)
