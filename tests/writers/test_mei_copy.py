"""The MEI of a singer's copy: valid, complete, the same every time, and saying what the score says.

Where no other source stands beside a value, it is how the standard says a thing is written (MEI 5.1 guidelines).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest
import verovio
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.copy import Fullness
from pipeline.model.notes import Kind, Octave
from pipeline.model.record import replace
from pipeline.model.score import ChordSign, FigureColumn, Score
from pipeline.model.time import WHOLE
from pipeline.writers.mei import write_mei
from tests.songs import HEADING, copied
from tests.writers.mei_schema import faults

NS = {"m": "http://www.music-encoding.org/ns/mei"}
ID = "{http://www.w3.org/XML/1998/namespace}id"

MUSIC = """\
section Prima
tempo Adagio
| 2=X,3:3,2:1 7,3:0
v 4=D5 8=E _F 2'f=F#!
c A - -
1 ti_a- mo _ o_e-
2 Sa- lu- te _
b 4.=G2'6,4 8=F2'# 2=E2'4-3
ending 1
| 1=X,3:3 .||
v 2=D5 _D5
1 ter- _
v2 8/3=C4 D4 E4 4=- 2=Bb3?
1 la la la _
ending 2
| 1=X,3:3 |||
v 1=E5
1 no.
ending end
stanza 3 Lieti prati, / verdi selve
"""
KEYBOARD = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre 3\n"


@pytest.fixture(scope="module")
def score() -> Score:
    return copied(MUSIC)


@pytest.fixture(scope="module")
def root(score: Score) -> etree._Element:
    return etree.fromstring(write_mei(cast_off(score)))


def find(root: etree._Element, path: str) -> list[etree._Element]:
    return root.xpath(path, namespaces=NS)  # type: ignore[return-value]


def strings(root: etree._Element, path: str) -> list[str]:
    return [str(text) for text in root.xpath(path, namespaces=NS)]  # type: ignore[union-attr]


# --- whole -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fullness", list(Fullness))
def test_valid_against_the_schema_of_mei(fullness: Fullness) -> None:
    """Source: mei-all-5.1.rng of the Music Encoding Initiative."""
    assert faults(write_mei(cast_off(copied(MUSIC, fullness=fullness)))) == []


def test_valid_without_a_voice() -> None:
    """Source: as above."""
    assert faults(write_mei(cast_off(copied("| 4=X,3:3 3:2 2:1 |||", KEYBOARD)))) == []


def test_verovio_draws_it_without_a_word(score: Score, capfd: pytest.CaptureFixture[str]) -> None:
    """The engraver as it comes, without this project's font. Source: verovio, which complains on descriptor 2."""
    toolkit = verovio.toolkit()
    assert toolkit.loadData(write_mei(cast_off(score)).decode())
    assert toolkit.renderToSVG(1)
    assert capfd.readouterr().err == ""


def ids_of(score: Score) -> Iterator[str]:
    for measure in score.measures:
        yield measure.id
        for layer in measure.layers:
            for chord in layer.events:
                yield from (head.id for head in chord.heads)
        for staff in measure.sung:
            yield from (event.id for event in staff.events)
        for group in (measure.arpeggios, measure.words, measure.figures, measure.chord_signs):
            yield from (item.id for item in group)


def test_every_id_of_the_score_once(score: Score, root: etree._Element) -> None:
    written = strings(root, "//@xml:id")
    assert len(written) == len(set(written))
    assert set(ids_of(score)) <= set(written)


def test_every_reference_leads_somewhere(root: etree._Element) -> None:
    known = set(strings(root, "//@xml:id"))
    named = strings(root, "//@startid | //@endid | //@plist")
    assert named
    assert {word.removeprefix("#") for text in named for word in text.split()} <= known


def test_same_bytes_every_time(score: Score) -> None:
    assert write_mei(cast_off(score)) == write_mei(cast_off(score))


# --- staves ----------------------------------------------------------------------------------------------


def test_staves_from_the_top(root: etree._Element) -> None:
    """Voices, accompaniment, bass, in the order in which they are printed; the smaller ones accompany."""
    staves = find(root, "//m:scoreDef[1]//m:staffDef")
    assert [staff.get("n") for staff in staves] == ["1", "2", "3", "4", "5"]
    clefs = [(staff.get("clef.shape"), staff.get("clef.line"), staff.get("clef.dis")) for staff in staves]
    assert clefs == [("G", "2", None), ("G", "2", "8"), ("G", "2", None), ("F", "4", None), ("F", "4", None)]
    assert [staff.get("scale") for staff in staves] == [None, None, "85%", "85%", "85%"]
    for measure in find(root, "//m:measure"):
        assert [staff.get("n") for staff in measure.findall("m:staff", NS)] == list("12345")


def test_only_the_accompaniment_has_a_brace(root: etree._Element) -> None:
    (brace,) = find(root, "//m:staffGrp[@symbol]")
    assert [staff.get("n") for staff in brace.findall("m:staffDef", NS)] == ["3", "4"]
    assert strings(brace, "m:label/text()") == ["Theorbo"]


def test_names_before_the_staves(root: etree._Element) -> None:
    assert strings(root, "//m:staffDef/m:label/text()") == ["Canto", "Tenore", "Basso"]
    assert strings(root, "//m:staffDef/m:labelAbbr/text()") == ["C.", "T.", "B."]


def test_voices_with_the_same_initial_keep_their_names() -> None:
    heading = HEADING.replace("Tenore", "Contralto")
    root = etree.fromstring(write_mei(cast_off(copied(MUSIC, heading))))
    assert strings(root, "//m:staffDef/m:labelAbbr/text()") == ["Canto", "Contralto", "B."]


def test_each_voice_has_its_own_signature(root: etree._Element) -> None:
    assert [staff.get("keysig") for staff in find(root, "//m:scoreDef[1]//m:staffDef")] == ["0", "1f", "0", "0", "0"]


@pytest.mark.parametrize(
    ("metre", "sign", "count", "unit"),
    [("C", "common", "4", "4"), ("3", None, "3", "4"), ("3/2", None, "3", "2")],
)
def test_metre_as_a_modern_part_prints_it(metre: str, sign: str | None, count: str, unit: str) -> None:
    heading = KEYBOARD.replace("metre 3", f"metre {metre}")
    root = etree.fromstring(write_mei(cast_off(copied("| 4=X,3:3 3:2 2:1 |||", heading))))
    for staff in find(root, "//m:scoreDef[1]//m:staffDef"):
        assert (staff.get("meter.sym"), staff.get("meter.count"), staff.get("meter.unit")) == (sign, count, unit)


def test_two_staves_of_the_usual_size_without_a_voice() -> None:
    root = etree.fromstring(write_mei(cast_off(copied("| 4=X,3:3 3:2 2:1 |||", KEYBOARD))))
    staves = find(root, "//m:scoreDef[1]//m:staffDef")
    assert [(staff.get("n"), staff.get("scale")) for staff in staves] == [("1", None), ("2", None)]
    assert find(root, "//m:label") == []


def test_words_stand_over_the_top_staff(root: etree._Element) -> None:
    assert strings(root, "//m:reh/@staff | //m:tempo/@staff") == ["1", "1"]


# --- words -----------------------------------------------------------------------------------------------


def syllables(root: etree._Element, staff: str, stanza: str) -> list[tuple[str, str | None, str | None]]:
    path = f"//m:staff[@n='{staff}']//m:verse[@n='{stanza}']/m:syl"
    return [(syl.text or "", syl.get("con"), syl.get("wordpos")) for syl in find(root, path)]


def test_hyphens_elisions_extenders(root: etree._Element) -> None:
    """``con``: d = hyphen, u = line, b = sung as one; ``wordpos``: i, m, t."""
    assert syllables(root, "1", "1") == [
        ("ti", "b", None), ("a", "d", "i"), ("mo", "u", "t"),
        ("o", "b", None), ("e", "d", "i"), ("ter", "d", "i"), ("no.", None, None),
    ]  # fmt: skip
    assert syllables(root, "1", "2") == [("Sa", "d", "i"), ("lu", "d", "m"), ("te", "u", "t")]


def test_a_lone_sign_of_elision_is_printed_as_typed() -> None:
    root = etree.fromstring(write_mei(cast_off(copied(MUSIC.replace("1 no.", "1 __")))))
    assert syllables(root, "1", "1")[-1] == ("‿‿", None, None)


def test_slur_over_a_melisma(score: Score, root: etree._Element) -> None:
    slurs = {(event.id, event.slur_to) for m in score.measures for s in m.sung for event in s.events if event.slur_to}
    drawn = find(root, "//m:slur[@type='melisma']")
    assert slurs and {(slur.get("startid", "")[1:], slur.get("endid", "")[1:]) for slur in drawn} == slurs


def test_a_tie_over_the_bar_line() -> None:
    root = etree.fromstring(write_mei(cast_off(copied("| 1=X,3:3\nv 1=D5\n| 1=X,3:3 |||\nv 1=_D5\n"))))
    first, second = (note.get(ID) for note in find(root, "//m:staff[@n='1']//m:note"))
    ties = [(tie.get("startid"), tie.get("endid")) for tie in find(root, "//m:measure[1]/m:tie")]
    assert (f"#{first}", f"#{second}") in ties


def test_editorial_notes_and_a_fermata(root: etree._Element) -> None:
    (supplied,) = find(root, "//m:staff[@n='1']//m:note[@type='supplied']")
    assert supplied.get("enclose") == "brack"
    (doubtful,) = find(root, "//m:staff[@n='2']//m:note[@type='doubtful']")
    assert doubtful.get("enclose") is None
    assert f"#{supplied.get(ID)}" in strings(root, "//m:fermata/@startid")


def test_a_silent_bar_has_a_rest_in_its_middle(score: Score, root: etree._Element) -> None:
    whole = [event.id for m in score.measures for s in m.sung for event in s.events if event.whole_bar]
    assert whole
    assert set(whole) <= set(strings(root, "//m:mRest/@xml:id"))


def test_a_group_of_three(root: etree._Element) -> None:
    (group,) = find(root, "//m:staff[@n='2']//m:tuplet")
    assert (group.get("num"), group.get("numbase"), len(find(group, ".//m:note"))) == ("3", "2", 3)


def test_verses_after_the_music(root: etree._Element) -> None:
    (stanza,) = find(root, "//m:back//m:lg")
    assert stanza.get("n") == "3"
    assert strings(stanza, "m:l/text()") == ["Lieti prati,", "verdi selve"]


def test_method_and_cautions(score: Score, root: etree._Element) -> None:
    assert strings(root, "//m:back/m:div[@type='legend']/m:head/text()") == [score.legend[0].sign]
    assert strings(root, "//m:back/m:div[@type='legend']/m:p[1]/text()") == [score.legend[0].text]


# --- figures, letters, octaves ---------------------------------------------------------------------------


def test_figures_under_the_printed_bass(root: etree._Element) -> None:
    """6 over 4, a sharp, then 4 3 over one note. Times in crotchets from 1."""
    harms = find(root, "//m:harm[m:fb]")
    assert [(h.get("tstamp"), strings(h, "m:fb/m:f/text()")) for h in harms] == [
        ("1", ["6", "4"]), ("2.5", ["♯"]), ("3", ["4"]), ("4", ["3"]),
    ]  # fmt: skip
    assert {(h.get("staff"), h.get("place")) for h in harms} == {("5", "below")}


def test_worked_out_figures_stand_under_the_lower_staff() -> None:
    score = copied("| 4=X,3:3 3:2 2:1 |||", KEYBOARD)
    column = FigureColumn("f-1", "", WHOLE // 4, WHOLE // 4, ("b", "n"), "", editorial=True)
    letter = ChordSign("c-1", "", 0, "F♯m", "")
    measures = (replace(score.measures[0], figures=(column,), chord_signs=(letter,)), *score.measures[1:])
    document = write_mei(cast_off(replace(score, measures=measures)))
    assert faults(document) == []
    under, over = find(etree.fromstring(document), "//m:harm")
    assert (under.get("staff"), under.get("tstamp"), under.get("type")) == ("2", "2", "editorial")
    assert strings(under, "m:fb/m:f/text()") == ["♭", "♮"]
    assert (over.get("staff"), over.get("place"), "".join(map(str, over.itertext()))) == ("1", "above", "F♯m")


def test_a_double_sharp_in_a_figure_is_one_sign() -> None:
    """Over D sharp, in nine sharps, the third is F double sharp: a cross, never two sharps (common practice)."""
    score = copied("| 4=X,3:3 3:2 2:1 |||", KEYBOARD)
    column = FigureColumn("f-1", "", WHOLE // 4, WHOLE // 4, ("##", "##4", "#6", "bb7"), "", editorial=True)
    name = ChordSign("c-1", "", 0, "F##m", "", named=True)
    measures = (replace(score.measures[0], figures=(column,), chord_signs=(name,)), *score.measures[1:])
    under, over = find(etree.fromstring(write_mei(cast_off(replace(score, measures=measures)))), "//m:harm")
    assert strings(under, "m:fb/m:f/text()") == ["×", "×4", "♯6", "♭♭7"]
    assert "".join(map(str, over.itertext())) == "F×m"


def test_letters_over_the_voice(root: etree._Element) -> None:
    (letter,) = find(root, "//m:harm[not(m:fb)]")
    assert (letter.get("staff"), letter.get("tstamp"), "".join(map(str, letter.itertext()))) == ("1", "1", "A")


def test_octave_signs_of_a_copy_are_small_eights() -> None:
    """Never ``(8)``: in a copy the note stands where the line is meant, and sounds lower."""
    score = copied("| 4=X,1:0 2:3 3:2 3:0 |||", "longneck 1\ninstrument theorbo in A\nmetre C\n")
    first = score.measures[0].layers[0].events[0]
    head = replace(first.heads[-1], octave=Octave(1, asked=False, confidence=0.9))
    event = replace(first, heads=(*first.heads[:-1], head))
    layer = replace(score.measures[0].layers[0], events=(event, *score.measures[0].layers[0].events[1:]))
    measure = replace(score.measures[0], layers=(layer, *score.measures[0].layers[1:]))
    root = etree.fromstring(write_mei(cast_off(replace(score, measures=(measure, *score.measures[1:])))))
    signs = find(root, f"//m:dir[@startid='#{head.id}']")
    assert [("".join(map(str, sign.itertext())), sign.get("type")) for sign in signs] == [("8", "octave beside")]


# --- lines -----------------------------------------------------------------------------------------------


def song_of(bars: int, words: str) -> Score:
    lines = [f"| 1=X,3:{bar % 4}\nv 4=D5 E5 F5 G5\n1 {words}\n" for bar in range(bars)]
    return copied("".join(lines) + "| 1=X,3:3 |||\nv 1=D5\n1 la\n", HEADING)


def test_long_words_ask_for_more_lines() -> None:
    short, long = (len(cast_off(song_of(24, words)).starts) for words in ("a e i o", "strin- ghiam- stram- strin-"))
    assert long > short


def test_no_line_of_a_song_holds_next_to_nothing() -> None:
    for bars in range(8, 24):
        layout = cast_off(song_of(bars, "la la la la"))
        edges = [0, *sorted(layout.starts), len(layout.measures)]
        lengths = [end - start for start, end in pairwise(edges)]
        assert min(lengths) >= 2, lengths


def test_a_measure_too_long_for_a_line_is_divided_with_its_words() -> None:
    """Every note and figure once, each in the part in which its moment falls."""
    notes = " ".join(["D5"] * 48)
    words = " ".join(["strin-"] * 47 + ["ga"])
    stops = " ".join(["3:3"] * 48)
    score = copied(f"| 4={stops} |||\nv 4={notes}\n1 {words}\n", HEADING.replace("metre C", "metre none"))
    layout = cast_off(score)
    assert len(layout.measures) > 1
    sung = [event.id for m in layout.measures for staff in m.sung if staff.staff == "v" for event in staff.events]
    assert sung == [event.id for event in score.measures[0].sung[0].events if event.kind is Kind.NOTE]
    document = write_mei(cast_off(score))
    assert faults(document) == []
    assert len(find(etree.fromstring(document), "//m:staff[@n='1']//m:syl")) == 48
