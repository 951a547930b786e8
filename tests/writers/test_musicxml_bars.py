"""The MusicXML writer: lines that overlap, repeats, bar lines, numbers of bars, bars that are not full.

Where no other source stands beside a value, it is how the standard says a thing is written (W3C, MusicXML 4.0
reference).
"""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.record import replace
from pipeline.model.score import BarStyle, Measure, Score, Slur, SlurKind
from pipeline.model.time import Value
from pipeline.writers.musicxml import write_musicxml
from pipeline.writers.musicxml.spanners import Spanners
from tests.made import resolved
from tests.made import score as typed
from tests.outside.readback import as_music21_places, differences, heard_by_music21, heard_by_partitura, written
from tests.outside.schemas import valid_musicxml
from tests.writers import scores

MEASURED = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
UNMEASURED = "longneck 1\ntitle Trial\ninstrument theorbo in A\nsigns french\nmetre none\n"
STAVES = "part[@id='staves']"


# --- lines that overlap -------------------------------------------------------------------------------------


def _five_notes(slurs: list[tuple[int, int]]) -> Score:
    names = ("B3", "C4", "C#4", "D4", "Eb4")
    score = scores.line([(3, fret, name, Value(8)) for fret, name in enumerate(names)], scores.THEORBO)
    (measure,) = score.measures
    lines = tuple(
        Slur(f"s{at}", f"n-b1e{start}c3", f"n-b1e{end}c3", SlurKind.PRINTED, False)
        for at, (start, end) in enumerate(slurs)
    )
    return replace(score, measures=(replace(measure, slurs=lines),))


def _ends(root: etree._Element) -> list[tuple[int, str, str]]:
    return [
        (at, slur.get("type"), slur.get("number"))
        for at, note in enumerate(root.iterfind(f"{STAVES}//note"), start=1)
        for slur in note.iter("slur")
    ]


def test_overlapping_slurs_have_their_own_numbers() -> None:
    assert _ends(valid_musicxml(_five_notes([(1, 3), (2, 4)]))) == [
        (1, "start", "1"), (2, "start", "2"), (3, "stop", "1"), (4, "stop", "2"),
    ]  # fmt: skip


def test_a_number_is_free_again_where_a_slur_ends() -> None:
    assert _ends(valid_musicxml(_five_notes([(1, 3), (3, 5)]))) == [
        (1, "start", "1"), (3, "stop", "1"), (3, "start", "1"), (5, "stop", "1"),
    ]  # fmt: skip


def test_a_slur_without_its_other_end_is_left_out() -> None:
    assert _ends(valid_musicxml(_five_notes([(1, 9), (4, 5)]))) == [(4, "start", "1"), (5, "stop", "1")]


def test_numbers_never_pass_sixteen() -> None:
    """``number-level`` of the standard ends at 16."""
    score = _five_notes([(1, 5)] * 20)
    assert {int(number) for _, _, number in _ends(valid_musicxml(score))} == set(range(1, 17))
    assert len(Spanners(score, tablature=False).ends["n-b1e1c3"]) == 20


# --- bars ---------------------------------------------------------------------------------------------------


def _bars(*bars: dict[str, object]) -> etree._Element:
    (model,) = scores.line([(3, 0, "B3", Value(1))], scores.THEORBO).measures
    measures = []
    for at, change in enumerate(bars):
        shifted = _shift(model, at)
        measures.append(replace(shifted, **{"right": BarStyle.SINGLE, **change}))  # type: ignore[arg-type]
    return valid_musicxml(scores.score(tuple(measures)))


def _shift(measure: Measure, bars: int) -> Measure:
    by = bars * measure.ticks
    tab = tuple(
        replace(event, onset=event.onset + by, figures=tuple(replace(f, id=f"{f.id}-{bars}") for f in event.figures))
        for event in measure.tab
    )
    layers = tuple(
        replace(
            layer,
            events=tuple(
                replace(
                    event, onset=event.onset + by, heads=tuple(replace(h, id=f"{h.id}-{bars}") for h in event.heads)
                )
                for event in layer.events
            ),
        )
        for layer in measure.layers
    )
    return replace(measure, number=bars + 1, label=str(bars + 1), onset=measure.onset + by, tab=tab, layers=layers)


def test_repeats_stand_at_the_bars_that_they_enclose() -> None:
    """A sign for both directions is an end on the left of its line and a start on the right of it."""
    root = _bars({"left": BarStyle.REPEAT_START}, {"right": BarStyle.REPEAT_BOTH}, {"right": BarStyle.REPEAT_END})
    for part in root.findall("part"):
        found = [
            (measure.get("number"), barline.get("location"), barline.find("repeat").get("direction"))
            for measure in part
            for barline in measure.iterfind("barline")
        ]
        assert found == [
            ("1", "left", "forward"), ("2", "right", "backward"),
            ("3", "left", "forward"), ("3", "right", "backward"),
        ]  # fmt: skip


@pytest.mark.parametrize(
    ("style", "written_as"),
    [
        (BarStyle.NONE, "none"),
        (BarStyle.DOUBLE, "light-light"),
        (BarStyle.FINAL, "light-heavy"),
        (BarStyle.DASHED, "dashed"),
        (BarStyle.DOTTED, "dotted"),
        (BarStyle.SINGLE, None),
    ],
)
def test_bar_styles(style: BarStyle, written_as: str | None) -> None:
    assert _bars({"right": style}).findtext(f"{STAVES}//bar-style") == written_as


@pytest.mark.parametrize("style", list(BarStyle))
def test_every_style_is_valid_on_both_sides(style: BarStyle) -> None:
    _bars({"left": style, "right": style}, {"left": style, "right": style})


def test_numbers_of_bars() -> None:
    """An upbeat is 0 and implicit (the standard's advice); a bar behind an added line has no number of its own; a
    number that comes again is told apart and keeps its words."""
    root = _bars({"label": ""}, {"label": "1"}, {"label": ""}, {"label": "2"}, {"label": "1"})
    found = [(m.get("number"), m.get("implicit"), m.get("text")) for m in root.find(STAVES)]
    assert found == [
        ("0", "yes", None), ("1", None, None), ("X1", "yes", None), ("2", None, None), ("1-5", None, "1"),
    ]  # fmt: skip


def test_a_rest_for_an_upbeat_is_no_rest_for_a_bar() -> None:
    """Readers take the length of a rest marked as that of a measure from the metre."""
    root = valid_musicxml(typed("|< 4=2:3\n| 1=3:0", MEASURED))
    upbeat = root.find(f"{STAVES}/measure")
    rests = upbeat.findall("note/rest")
    assert rests and not any(rest.get("measure") for rest in rests)


@pytest.mark.parametrize("music", ["| 'r=-\n| 4=1:0", "| 'r=1:0 -\n| 4=1:0"])
def test_bars_with_blank_places_keep_their_length(music: str) -> None:
    """Found by random music: a bar in which nothing is printed to its end is still as long as it is."""
    piece, _ = resolved(music, MEASURED)
    score = notate(spell(lead(piece)))
    document_ = write_musicxml(score)
    assert differences(as_music21_places(score), heard_by_music21(document_)) == []
    assert differences(written(score), heard_by_partitura(document_)) == []


def test_unmeasured() -> None:
    root = valid_musicxml(typed("| /a,4c,3b,2b 5e,3d,1a", UNMEASURED))
    assert root.find(f"{STAVES}//time/senza-misura") is not None
    assert root.find(f"{STAVES}//time/beats") is None
