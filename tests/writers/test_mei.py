"""The MEI writer: valid, complete, the same every time, and saying what the score says."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest
import verovio
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.notes import Editorial, Ink, Kind
from pipeline.model.record import replace
from pipeline.model.score import BarStyle, Score
from pipeline.model.signs import Signs
from pipeline.model.time import WHOLE, Metre
from pipeline.writers.mei import write_mei
from tests import made
from tests.writers import scores
from tests.writers.mei_schema import faults
from tests.writers.pieces import FRENCH, PIECES, piece

NS = {"m": "http://www.music-encoding.org/ns/mei"}
ID = "{http://www.w3.org/XML/1998/namespace}id"


def tree(score: Score) -> etree._Element:
    return etree.fromstring(write_mei(cast_off(score)))


def find(root: etree._Element, path: str) -> list[etree._Element]:
    return root.xpath(path, namespaces=NS)  # type: ignore[return-value]


@pytest.mark.parametrize("name", PIECES)
def test_valid_against_the_schema_of_mei(name: str) -> None:
    """Source: mei-all-5.1.rng of the Music Encoding Initiative."""
    assert faults(write_mei(cast_off(piece(name)))) == []


def test_everything_is_valid() -> None:
    """Source: as above; the score holds every kind of record."""
    assert faults(write_mei(cast_off(scores.everything()))) == []


@pytest.mark.parametrize("name", [name for name in PIECES if name != "nothing"])
def test_verovio_draws_it_without_a_word(name: str, capfd: pytest.CaptureFixture[str]) -> None:
    """The engraver as it comes, without this project's font. Source: verovio, which complains on descriptor 2."""
    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "encoded" if b"<sb" in write_mei(cast_off(piece(name))) else "auto"})
    assert toolkit.loadData(write_mei(cast_off(piece(name))).decode())
    assert all(toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1))
    assert capfd.readouterr().err == ""


def test_the_engraver_would_complain(capfd: pytest.CaptureFixture[str]) -> None:
    """Guards the test above: an element that verovio does not know is heard."""
    toolkit = verovio.toolkit()
    toolkit.loadData(write_mei(cast_off(scores.everything())).decode().replace("<tie ", "<line "))
    assert "line" in capfd.readouterr().err


def ids_of(score: Score) -> Iterator[str]:
    """Every id of the score that names something written."""
    for measure in score.measures:
        yield measure.id
        for event in measure.tab:
            yield event.id
            yield from (figure.id for figure in event.figures)
        for layer in measure.layers:
            for chord in layer.events:
                yield from (head.id for head in chord.heads)
                if len(chord.heads) != 1:
                    yield chord.id
        for group in (
            measure.slurs,
            measure.holds,
            measure.arpeggios,
            measure.dashes,
            measure.brackets,
            measure.words,
        ):
            yield from (item.id for item in group)


@pytest.mark.parametrize("name", PIECES)
def test_every_id_of_the_score_once(name: str) -> None:
    score = piece(name)
    written = tree(score).xpath("//@xml:id")
    assert isinstance(written, list)
    assert len(written) == len(set(written))
    assert set(ids_of(score)) <= set(written)


@pytest.mark.parametrize("name", PIECES)
def test_every_reference_leads_somewhere(name: str) -> None:
    root = tree(piece(name))
    known = set(root.xpath("//@xml:id"))  # type: ignore[arg-type]
    named = root.xpath("//@startid | //@endid | //@plist | //@altsym")
    assert isinstance(named, list)
    assert {word.removeprefix("#") for text in named for word in str(text).split()} <= known


def test_same_bytes_every_time() -> None:
    assert write_mei(cast_off(scores.everything())) == write_mei(cast_off(scores.everything()))


def test_no_date() -> None:
    """A date would make two runs differ."""
    assert b"date" not in write_mei(cast_off(scores.everything()))


# --- time --------------------------------------------------------------------------------------------------


def length(element: etree._Element, ratio: Fraction = Fraction(1)) -> Fraction:
    """What an element takes, in whole notes, by MEI's rules alone."""
    kind = etree.QName(element).localname
    if kind == "tuplet":
        ratio *= Fraction(int(element.get("numbase", "1")), int(element.get("num", "1")))
    if kind in ("tuplet", "beam", "layer"):
        return sum((length(child, ratio) for child in element), Fraction(0))
    dur = element.get("dur")
    if dur is None:
        return Fraction(0)
    plain = Fraction(2) if dur == "breve" else Fraction(1, int(dur))
    return (2 * plain - plain / 2 ** int(element.get("dots", "0"))) * ratio


@pytest.mark.parametrize("name", PIECES)
def test_every_layer_adds_up_to_its_measure(name: str) -> None:
    """Tablature included: an invisible group gives each drawn sign its length in the edition."""
    score = piece(name)
    root = tree(score)
    for measure in score.measures:
        (element,) = find(root, f"//m:measure[@xml:id='{measure.id}']")
        for layer in find(element, "m:staff/m:layer"):
            if not find(layer, "m:mRest | m:mSpace"):
                assert length(layer) == Fraction(measure.ticks, WHOLE), (measure.id, etree.tostring(layer))


def test_one_hook_that_is_a_minim() -> None:
    """``values 2:1``: a printed crotchet with one hook lasts a minim in the edition, and is drawn as before."""
    score = made.score("| 4=1:0 1:2 |||", made.HEADING + "values 1:2\nmetre none\nstems plain = 2\n")
    (group,) = find(tree(score), "(//m:tabGrp)[1]")
    assert group.get("dur") == "4"
    tuplet = group.getparent()
    assert tuplet is not None and tuplet.get("num.visible") == tuplet.get("bracket.visible") == "false"
    assert Fraction(int(tuplet.get("numbase", "")), int(tuplet.get("num", ""))) == Fraction(1, 2)


# --- what the signs say --------------------------------------------------------------------------------------


def test_metre_as_printed_over_metre_as_read() -> None:
    """A figure 3 alone over the tablature, 3/4 on the staves. Source: common practice, no source."""
    root = tree(piece("slurs, hold, arpeggio"))
    (printed,) = find(root, "//m:staffDef[@n='1']/m:meterSig")
    assert (printed.get("count"), printed.get("form")) == ("3", "num")
    staves = find(root, "//m:staffDef[@n>1]")
    assert [(staff.get("meter.count"), staff.get("meter.unit")) for staff in staves] == [("3", "4")] * 2


@pytest.mark.parametrize(
    ("sign", "expected"),
    [
        ("C", {"sym": "common", "count": "4", "unit": "4"}),
        ("¢", {"sym": "cut", "count": "4", "unit": "4"}),
        ("3/2", {"count": "3", "unit": "2"}),
        ("3", {"count": "3", "unit": "4", "form": "num"}),
        ("none", {}),
        # The engraver has no such sign: as counted. Common practice, no source.
        ("O", {"count": "3", "unit": "4"}),
    ],
)
def test_printed_metres(sign: str, expected: dict[str, str]) -> None:
    beats = {"3": 3, "3/2": 3, "O": 3, "none": 0}.get(sign, 4)
    first = replace(scores.everything().measures[0], metre=Metre(sign, beats, 2 if sign == "3/2" else 4))
    found = find(tree(scores.score((first,))), "//m:staffDef[@n='1']/m:meterSig")
    assert [dict(signature.attrib) for signature in found] == ([expected] if expected else [])


def test_diapasons_that_no_engraver_prints() -> None:
    """X for the tenth course and a plain 7 need symbols; 11 does not. Source: facts of the trade, PS/CP."""
    score = made.score("| 4=X,3:0 7,3:0 11,3:0", made.HEADING + "metre none\n")
    root = tree(score)
    symbols = {note.get("tab.course"): note.get("altsym") for note in find(root, "//m:tabGrp/m:note")}
    assert symbols["10"] == "#sign-F5A0"
    assert symbols["7"] == "#sign-EBE7"
    assert symbols["11"] is None and symbols["3"] is None


def test_a_ten_on_a_line_is_a_fret() -> None:
    """An X on a line is fret 10. Source: PS/CP."""
    (note,) = find(tree(made.score("| 4=3:X", made.HEADING + "metre none\n")), "//m:tabGrp/m:note")
    assert (note.get("tab.course"), note.get("tab.fret"), note.get("altsym")) == ("3", "10", "#sign-F5A0")


def test_french_letters_and_diapasons_are_native() -> None:
    """a /a //a ///a, then 4 5 6 7 from the eleventh course on. Source: CP; no j among the letters: PS-inf."""
    root = tree(made.score("| a /a //a ///a 4 5 6 7 3k 3n", FRENCH))
    notes = find(root, "//m:tabGrp/m:note")
    assert [note.get("tab.course") for note in notes] == ["7", "8", "9", "10", "11", "12", "13", "14", "3", "3"]
    assert [note.get("tab.fret") for note in notes[-2:]] == ["9", "12"]
    assert all(note.get("altsym") is None for note in notes)
    (tab,) = find(root, "//m:staffDef[@n='1']")
    assert tab.get("notationtype") == "tab.lute.french"


def test_editorial_markup() -> None:
    """supplied and unclear are MEI's words for it. Source: MEI Guidelines, as quoted in the facts of the trade."""
    root = tree(piece("editing"))
    assert find(root, "//m:tabGrp/m:supplied/m:note[@tab.course='3'][@type='supplied']")
    assert find(root, "//m:tabGrp/m:unclear/m:note[@tab.course='3'][@type='doubtful']")
    assert find(root, "//m:staff[@n>1]//m:note[@enclose='brack'][@type='supplied']")
    assert find(root, "//m:tabDurSym[@type='supplied']")


def test_what_cannot_be_read_is_written() -> None:
    """Illegible: a question mark. Lost: room for it. Line unclear: no course is claimed."""
    score = piece("editing")
    figures = {figure.id: figure for measure in score.measures for event in measure.tab for figure in event.figures}
    notes = {note.get(ID): note for note in find(tree(score), "//m:tabGrp//m:note")}
    inks = {figure.ink: notes[name].get("altsym") for name, figure in figures.items()}
    assert inks[Ink.ILLEGIBLE] == "#sign-F5A1"
    assert inks[Ink.LOST] == "#sign-F5A4"
    unclear = [notes[name] for name, figure in figures.items() if not figure.course]
    assert unclear and all(int(note.get("tab.course", "0")) > 6 for note in unclear)


def test_bar_lines() -> None:
    root = tree(piece("repeats, endings"))
    lines = [(bar.get("left"), bar.get("right")) for bar in find(root, "//m:measure")]
    assert lines[0] == ("rptstart", None)
    assert ("rptstart", None) in lines[3:]
    assert [line[1] for line in lines].count("rptend") >= 2
    assert [ending.get("n") for ending in find(root, "//m:ending")] == ["1", "2"]
    assert find(root, "//m:measure")[0].get("metcon") == "false"


def test_added_bar_line_is_dashed() -> None:
    root = tree(piece("added bar line"))
    assert [bar.get("right") for bar in find(root, "//m:measure")] == ["dashed", "end"]


def test_every_bar_style_has_a_name() -> None:
    for style in BarStyle:
        first = replace(scores.everything().measures[0], right=style)
        assert write_mei(cast_off(scores.score((first,))))


def test_changes_of_key_metre_and_tuning() -> None:
    root = tree(piece("form"))
    changed = find(root, "//m:section//m:scoreDef")
    assert find(changed[0], ".//m:staffDef[@n='2']/m:meterSig[@count='3'][@unit='2']")
    assert find(changed[0], ".//m:staffDef[@n='3']/m:keySig[@sig='2s']")
    assert find(root, "//m:section//m:staffDef[@n='1']/m:tuning/m:course[@n='8'][@pname='f'][@accid='s'][@oct='2']")
    assert find(root, "//m:staff[@n='1']/m:layer/m:meterSig[@count='3'][@unit='2']")


def test_words() -> None:
    root = tree(piece("form"))
    assert [reh.xpath("string()") for reh in find(root, "//m:reh")] == ["Prima", "Seconda"]
    assert [tempo.xpath("string()") for tempo in find(root, "//m:tempo")] == ["Adagio"]
    assert [mark.xpath("string()") for mark in find(root, "//m:dir[@type='folio']")] == ["| f. 3v"]


def test_ties_join_pieces_of_one_note() -> None:
    root = tree(scores.everything())
    ties = {(tie.get("startid"), tie.get("endid")) for tie in find(root, "//m:tie")}
    assert ("#n-b2e1c3", "#n-b2e1c3-2") in ties


def test_slurs_solid_as_printed_dashed_as_added() -> None:
    root = tree(scores.everything())
    (printed,) = find(root, "//m:slur[@xml:id='st-1']")
    (added,) = find(root, "//m:slur[@xml:id='sn-1']")
    assert printed.get("lform") is None and added.get("lform") == "dashed"


def test_dashes_only_where_the_octave_is_certain() -> None:
    root = tree(scores.everything())
    assert [line.get("lform") for line in find(root, "//m:gliss")] == ["dashed"]
    words = [word.xpath("string()") for word in find(root, "//m:dir[@type='octave']")]
    assert words == ["(8?)"], "the other one is inside a chord, where a sign outside could mean any head"


def test_nothing_typed_breaks_the_document() -> None:
    """A bell character, as typed in a section title, is shown and not lost."""
    root = tree(scores.everything())
    assert "Prima \ufffdparte" in {reh.xpath("string()") for reh in find(root, "//m:reh")}


def test_every_head_and_figure_once() -> None:
    score = scores.everything()
    heads = sum(len(e.heads) for m in score.measures for layer in m.layers for e in layer.events if e.kind is Kind.NOTE)
    figures = sum(len(event.figures) for m in score.measures for event in m.tab)
    root = tree(score)
    assert len(find(root, "//m:staff[@n>1]//m:note")) == heads
    assert len(find(root, "//m:staff[@n=1]//m:note")) == figures


def test_plain_editorial_leaves_no_trace() -> None:
    score = made.score("| 4=3:2", made.HEADING + "metre none\n")
    assert score.measures[0].tab[0].figures[0].editorial is Editorial.PLAIN
    assert score.signs is Signs.ITALIAN
    assert not find(tree(score), "//m:supplied | //m:unclear | //m:note[@type]")


def test_a_bar_too_long_for_a_line_is_set_in_parts() -> None:
    """Unmeasured bars run over many lines in prints of the time; common practice, no source."""
    music = "| " + " ".join("3:0 2:1 1:2 X" for _ in range(20)) + " |||"
    score = made.score(music, made.HEADING + "metre none\n")
    bars = find(tree(score), "//m:measure")
    assert len(score.measures) == 1 and len(bars) > 2
    assert [bar.get("right") for bar in bars] == ["invis"] * (len(bars) - 1) + ["end"]
    assert [bar.get("n") for bar in bars[1:]] == [None] * (len(bars) - 1)
    assert len(find(tree(score), "//m:staff[@n=1]//m:note")) == 80
