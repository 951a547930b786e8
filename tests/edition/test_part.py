"""The player's part: the edition's bars, large, in either system of signs, with cues, retunings and page turns."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.edition.notate import notate
from pipeline.edition.part import part_of, sign_for
from pipeline.model.glyphs import glyphs_of
from pipeline.model.notes import TabFigure
from pipeline.model.options import Part
from pipeline.model.score import Score, WordsKind
from pipeline.model.signs import Signs
from pipeline.writers.engrave import engrave, typeset
from pipeline.writers.engrave.density import LARGE_SIZES
from pipeline.writers.engrave.paper import PER_MM
from pipeline.writers.mei import write_mei
from pipeline.writers.musicxml import write_musicxml
from tests.outside.readback import tablature_by_music21, tablature_written
from tests.outside.schemas import musicxml_schema
from tests.songs import HEADING, song
from tests.writers.engrave.test_song import MUSIC, texts
from tests.writers.mei_schema import faults

FRENCH = HEADING.replace("metre C\n", "metre C\nsigns french\n")
LETTERS = "| 2=///a,3d,2b 4,1l\n| 2=4,3d a,2m .||\nending 1\n| 1=/a ||\nending 2\n| 1=a |||\nending end\n"
BAR = "| 4=X,3:3 3:2 3:1 3:0\n"


def part(music: str, heading: str = HEADING, signs: Part = Part.SOURCE) -> Score:
    voiced, lines = song(music, heading)
    made = part_of(voiced, lines, signs)
    assert made is not None
    return made


def pages_of(score: Score) -> tuple[str, ...]:
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    return engraved.pages


def test_none_where_none_is_asked_for() -> None:
    assert part_of(*song(BAR), Part.NONE) is None


def test_large_enough_for_a_stand() -> None:
    """A figure at least 2.4 mm high, lines at least 2.6 mm apart: asked for by players; measured on the page, whose
    own size in millimetres is that of its viewBox."""
    (page,) = pages_of(part(BAR))
    root = etree.fromstring(page.encode())
    width = float(root.get("viewBox").split()[2])
    assert float(root.get("width").removesuffix("mm")) / width == pytest.approx(1 / PER_MM, rel=0.01)
    size = float(re.search(r"scale\(([\d.]+)\)", page)[1])  # type: ignore[index]
    tops = [int(y) for y in re.findall(r'<path d="M\d+ (\d+) L\d+ \1"', page[page.index('id="tab-m1"') :])][:6]
    apart = {(lower - upper) * size / PER_MM for upper, lower in pairwise(tops)}
    assert len(tops) == 6 and min(apart) >= 2.6
    figure = re.search(r'id="t-b1e2c3" class="note"><use [^>]*href="#(\w+)"[^>]*scale\(([\d.]+)', page)
    assert figure
    outline = re.search(rf'<g id="{figure[1]}"><path [^>]*d="([^"]*)"', page)
    assert outline and not set(re.findall(r"[A-Za-z]", outline[1])) - set("MCZ"), "absolute points, x before y"
    heights = [int(y) for y in re.findall(r"-?\d+", outline[1])[1::2]]
    assert (max(heights) - min(heights)) * float(figure[2]) * size / PER_MM >= 2.4


@pytest.mark.parametrize("signs", [Part.SOURCE, Part.ITALIAN, Part.FRENCH])
@pytest.mark.parametrize(("music", "heading"), [(MUSIC, HEADING), (LETTERS, FRENCH)])
def test_its_bars_are_those_of_the_edition(music: str, heading: str, signs: Part) -> None:
    made, whole = part(music, heading, signs), notate(*song(music, heading))

    def bars(score: Score) -> list[object]:
        return [(m.id, m.label, m.ticks, m.left, m.right, m.ending, m.metre) for m in score.measures]

    assert bars(made) == bars(whole)
    assert tablature_written(made) == tablature_written(whole)


@pytest.mark.parametrize("signs", [Part.SOURCE, Part.ITALIAN, Part.FRENCH])
@pytest.mark.parametrize(("music", "heading"), [(MUSIC, HEADING), (LETTERS, FRENCH)])
def test_valid_and_read_by_others(music: str, heading: str, signs: Part) -> None:
    """Sources: the schemas of MusicXML 4.0 and MEI 5.1; the reader music21."""
    made = part(music, heading, signs)
    document = write_musicxml(made)
    schema = musicxml_schema()
    assert schema.validate(etree.fromstring(document)), schema.error_log
    assert faults(write_mei(cast_off(made))) == []
    assert tablature_by_music21(document) == tablature_written(made)


# --- signs -----------------------------------------------------------------------------------------------


def figure(course: int, fret: int) -> TabFigure:
    return TabFigure("t", "t", course, fret, "", course > 6, None)


def test_signs_of_both_systems() -> None:
    """The tenth fret is X and l, the eighth i (no j); diapasons 7 to 10 are a /a //a ///a, then 4 to 7.

    Source: MEI Guidelines, tablature chapter; diapasons common practice.
    """
    both = [(figure(course, fret), Signs.FRENCH) for course, fret in ((1, 0), (2, 8), (3, 9), (4, 10), (6, 12))]
    assert [sign_for(*each) for each in both] == ["a", "i", "k", "l", "n"]
    assert [sign_for(each, Signs.ITALIAN) for each, _ in both] == ["0", "8", "9", "X", "12"]
    basses = [figure(course, 0) for course in range(7, 15)]
    assert [sign_for(each, Signs.FRENCH) for each in basses] == ["a", "/a", "//a", "///a", "4", "5", "6", "7"]
    assert [sign_for(each, Signs.ITALIAN) for each in basses] == ["7", "8", "9", "X", "11", "12", "13", "14"]


@pytest.mark.parametrize("signs", list(Signs))
def test_no_two_stops_of_a_course_have_one_sign(signs: Signs) -> None:
    """So what is read back is what was there; and every sign is drawn, a 7 otherwise than an l."""
    for course in range(1, 7):
        named = [sign_for(figure(course, fret), signs) for fret in range(13)]
        assert len(set(named)) == 13 and all(map(glyphs_of, named))
    basses = [sign_for(figure(course, 0), signs) for course in range(7, 15)]
    assert len(set(basses)) == 8 and all(map(glyphs_of, basses))
    assert glyphs_of("7") != glyphs_of("l")


@pytest.mark.parametrize(("heading", "other"), [(HEADING, Part.FRENCH), (FRENCH, Part.ITALIAN)])
def test_there_and_back_again(heading: str, other: Part) -> None:
    music = LETTERS if heading is FRENCH else "| 2=X,3:3,2:X 7,1:12\n| 2=14,4:10 4=1:8 6:9\n"
    source, changed = part(music, heading), part(music, heading, other)

    def figures(score: Score) -> list[TabFigure]:
        return [each for measure in score.measures for event in measure.tab for each in event.figures]

    assert changed.signs is not source.signs
    assert [each.text for each in figures(changed)] != [each.text for each in figures(source)]
    typed = {"10": "X"}
    assert [sign_for(each, source.signs) for each in figures(changed)] == [
        typed.get(each.text, each.text) for each in figures(source)
    ]


def test_changed_signs_are_said_at_the_head() -> None:
    said = "In French letters; the source has Italian figures"
    assert said in part(MUSIC, signs=Part.FRENCH).credits.left
    assert not any("source has" in line for line in part(MUSIC, signs=Part.ITALIAN).credits.left)


# --- words -----------------------------------------------------------------------------------------------


def cues(score: Score) -> list[tuple[int, str]]:
    return [(m.number, words.text) for m in score.measures for words in m.words if words.kind is WordsKind.CUE]


def test_first_words_where_a_voice_enters() -> None:
    """At the beginning and after half a bar of silence, in the first stanza, up to a rest; not where it breathes."""
    music = (
        "| 4=X,3:3 3:2 3:1 3:0\nv 4=D5 E5 F5 8=G5 -\n1 Lie- ti pra- ti,\n2 Ver- di sel- ve\n"
        "| 4=X,3:3 3:2 3:1 3:0\nv 4=D5 2=- 4=E5\n1 sì, e_a-\n2 no, o\n"
        "| 4=X,3:3 3:2 3:1 3:0\nv 4=D5 E5 F5 G5\n1 mo- re di me\n2 la la la la\n"
    )
    assert cues(part(music)) == [(1, "Canto: Lieti prati,"), (2, "Canto: e amore di me")]


def test_cues_and_titles_are_printed() -> None:
    found = [text for page in pages_of(part(MUSIC)) for text in texts(page)]
    assert "Prima" in found and any(text.startswith("Canto: ti amo") for text in found)


def test_retunings_are_told_at_the_head_and_before_their_bar() -> None:
    music = BAR * 3 + "retune 8 = F#2\n" + BAR
    made = part(music)
    assert "Retune 8 to F♯2 before bar 4" in made.credits.left
    found = [(m.number, words.text) for m in made.measures for words in m.words if words.kind is WordsKind.RETUNE]
    assert found == [(4, "Retune 8 to F♯2")]


def test_notes_at_the_foot_stay_in_the_edition() -> None:
    made = part('| 4=X,3:3!3:5"a 3:2 3:1 3:0\n"a EB: confused\n', HEADING + "editor EB = E. B.\n")
    assert made.footnotes == () and not any(figure.footnote for e in made.measures[0].tab for figure in e.figures)
    assert any("notes at the foot of the edition" in entry.text for entry in made.legend)


def test_no_last_page_with_one_line_where_slightly_smaller_print_saves_it() -> None:
    """Figures stay at least 2.4 mm high: at the usual size, of which they keep 98 %, they have 2.46 mm."""
    found = {}
    for bars in range(16, 40):
        score = part(BAR * bars)
        made = typeset(score)
        found[bars] = len(made.engraved.pages), made.cast.size / score.size
        usual = pages_of(score)
        assert found[bars] in {(len(usual), 1.0), (len(usual) - 1, LARGE_SIZES[0])}
    assert 1.0 in (smaller := {size for _, size in found.values()})
    assert LARGE_SIZES[0] in smaller
    assert min(LARGE_SIZES) * 2.46 >= 2.4


def test_signs_under_the_tablature_stand_in_one_row() -> None:
    """Strums, spreads and "and so on", under chords that reach down to the lowest line and others that do not (common
    practice, no source)."""
    chords = "| 4'r=X,3:3,4:2 4'd=X,3:3,1:2 4'u=3:2 4'e=3:1,5:0\n| 2'r=3:3,1:2 2'r=3:3,4:2\n"
    (page,) = pages_of(part(chords))
    rows = re.findall(r'class="dir (?:strum|arpeggio|and-so-on)"><text x="\d+" y="(\d+)"', page)
    assert len(rows) == 6
    assert len(set(rows)) == 1


# --- bar numbers -----------------------------------------------------------------------------------------


def test_a_bar_number_is_no_bass() -> None:
    """Over the tablature a number would stand in the row of the diapasons and be read as one of them: it stands left of
    the staff, beside its top line (common practice, no source)."""
    pages = pages_of(part(BAR * 30))
    numbers = [each for page in pages for each in re.findall(r'class="mNum[^"]*"><text ([^>]*)>', page)]
    tops = [int(y) for page in pages for y in re.findall(r'id="tab-m\d+" class="staff"><path d="M\d+ (\d+)', page)]
    assert len(numbers) > 4
    for each in numbers:
        found = re.search(r'x="(-?\d+)" y="(\d+)" text-anchor="end"', each)
        assert found and int(found[1]) < 0
        assert int(found[2]) - 108 in tops


def test_a_line_that_begins_with_a_section_has_its_bar_number() -> None:
    pages = pages_of(part(BAR * 6 + "layout new system\nsection Seconda\n" + BAR * 6))
    numbered = r'class="mNum"><text [^>]*>(\d+)</text>(?:(?!class="mNum).)*?class="reh section'
    assert [number for page in pages for number in re.findall(numbered, page)] == ["7"]


# --- page turns ------------------------------------------------------------------------------------------


def first_bar_after_the_turn(pages: tuple[str, ...]) -> int:
    found = re.search(r'<g id="m(\d+)" class="measure', pages[1])
    assert found
    return int(found[1])


def test_a_page_is_turned_at_a_rest() -> None:
    """Of eighty bars one in sixteen ends with a rest of half a bar: the page is turned there, and nothing is said."""
    music = "".join(BAR if bar % 4 else "| 4=X,3:3 3:2 2=-\n" for bar in range(1, 81))
    pages = pages_of(part(music))
    assert len(pages) > 1
    assert (first_bar_after_the_turn(pages) - 1) % 4 == 0
    assert not any("V. S." in " ".join(texts(page)) for page in pages)


def test_a_page_is_turned_at_the_end_of_a_section() -> None:
    music = "".join(f"section Part {bar}\n{BAR}" if bar % 6 == 1 else BAR for bar in range(1, 81))
    pages = pages_of(part(music))
    assert (first_bar_after_the_turn(pages) - 1) % 6 == 0
    assert not any("V. S." in " ".join(texts(page)) for page in pages)


def test_a_turn_without_a_rest_is_said_on_right_hand_pages() -> None:
    """Only these are turned; the last page is not."""
    pages = pages_of(part(BAR * 200))
    assert len(pages) > 3
    said = ["V. S." in " ".join(texts(page)) for page in pages]
    assert said == [number % 2 == 1 and number < len(pages) for number in range(1, len(pages) + 1)]


def test_the_same_pages_twice() -> None:
    assert pages_of(part(MUSIC)) == pages_of(part(MUSIC))


def test_chord_letters_stand_under_the_title_of_a_section() -> None:
    """Common practice, no source: a title is over everything. Both are on one page; y grows downwards."""
    heading = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\n"
    (page,) = pages_of(part("section Prima\n| 2=X,4:2 7,4:0\nc O L |||".replace(" |||", ""), heading))
    title = re.search(r'class="reh section"><text [^>]*y="(\d+)"', page)
    letters = re.findall(r'class="dir chord-letter"><text x="\d+" y="(\d+)"', page)
    assert title and len(letters) == 2 and len(set(letters)) == 1
    assert int(title[1]) < int(letters[0])
