"""Pages of a singer's copy: whole, quiet, the same every time; signs at their notes, words where they can be read."""

from __future__ import annotations

import re

import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.notes import Kind, Octave
from pipeline.model.record import replace
from pipeline.model.score import ChordSign, FigureColumn, Score, WordsKind
from pipeline.model.time import WHOLE
from pipeline.writers.engrave import engrave
from pipeline.writers.engrave.paper import A4, BOTTOM
from pipeline.writers.mei import write_mei
from tests.songs import HEADING, copied
from tests.writers.test_mei_copy import KEYBOARD, MUSIC

ALONE = HEADING.replace("layer v2 = Tenore, clef C4, 1 flat\n", "").replace("layer b = Basso, clef F4\n", "")


def pages_of(score: Score) -> tuple[str, ...]:
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    return engraved.pages


def tree(page: str) -> etree._Element:
    return etree.fromstring(page.encode())


def texts(page: str) -> list[str]:
    return ["".join(text.itertext()) for text in tree(page).iter("{http://www.w3.org/2000/svg}text")]


def long_song(bars: int, *, rests: bool = False, heading: str = ALONE) -> Score:
    """Bars of four notes with words, invented; with ``rests`` every fourth bar is silent."""
    lines = []
    for bar in range(bars):
        silent = rests and bar % 4 == 3
        lines.append(f"| 1=X,3:{bar % 4}\n" + ("v 1=-" if silent else "v 4=D5 E5 F5 G5\n1 lie- ti pra- ti"))
    return copied("\n".join(lines) + "\n| 1=X,3:3 |||\nv 1=D5\n1 sì\n", heading)


def test_the_copy_says_that_values_are_halved() -> None:
    """A singer who compares it with the source, or with the tablature, must know why they differ."""
    halved = copied("| 2=X,3:3 3:2 2:1 2:0\n", KEYBOARD.replace("metre 3", "metre C\nvalues 1:2"))
    assert any("The values of the source are halved." in entry.text for entry in halved.legend)
    assert not any("halved" in entry.text for entry in copied(MUSIC).legend)


# --- whole and quiet -------------------------------------------------------------------------------------


@pytest.mark.parametrize("score", [copied(MUSIC), copied("| 4=X,3:3 3:2 2:1 |||", KEYBOARD), copied("", HEADING)])
def test_no_warning_and_nothing_printed(score: Score, capfd: pytest.CaptureFixture[str]) -> None:
    for page in pages_of(score):
        assert tree(page).get("width") == "210mm"
    assert capfd.readouterr().err == ""


def test_same_pages_twice() -> None:
    assert pages_of(copied(MUSIC)) == pages_of(copied(MUSIC))


def test_no_letter_of_a_music_font() -> None:
    """Readers' machines do not have the engraver's font: they would show boxes."""
    score = copied(MUSIC)
    for page in pages_of(score):
        assert not re.search("[\ue000-\uf8ff]", page)
        assert "Leipzig" not in page


# --- words, figures --------------------------------------------------------------------------------------


def test_a_bow_joins_syllables_sung_as_one() -> None:
    """From the end of the first to the beginning of the second, under the base line."""
    (page,) = pages_of(copied(MUSIC))
    bows = re.findall(r'class="elision" d="M(-?\d+) (-?\d+) Q-?\d+ -?\d+ (-?\d+)', page)
    assert len(bows) == 2, "ti‿a, o‿e"
    first = re.search(r'<text x="(\d+)" y="(\d+)" font-size="\d+px">ti</text>', page)
    second = re.search(r'<text x="(\d+)" y="(\d+)" [^>]*><tspan[^>]*class="text"><tspan [^>]*>a</tspan>', page)
    assert first and second
    left, base, right = map(int, bows[0])
    assert int(first.group(1)) < left < right < int(second.group(1)) + 200
    assert base > int(first.group(2))


def test_accidentals_of_figures_and_letters_are_outlines() -> None:
    score = copied("| 4=X,3:3 3:2 2:1 |||", KEYBOARD)
    figures = tuple(
        FigureColumn(f"f-{at}", "", at * WHOLE // 4, WHOLE // 4, (row,), "") for at, row in enumerate(("#", "b", "n6"))
    )
    letter = ChordSign("c-1", "", 0, "F♯m", "")
    (page,) = pages_of(replace(score, measures=(replace(score.measures[0], figures=figures, chord_signs=(letter,)),)))
    assert page.count('class="type-accidental"') == 4
    assert {"6", "F", "m"} <= set(texts(page))


def test_figures_stand_in_one_row_under_all_notes() -> None:
    score = copied(MUSIC)
    (page,) = pages_of(score)
    rows = re.findall(r'<g id="f-[^"]*" class="harm[^"]*"><g [^>]*class="fb"><text x="-?\d+" y="(\d+)"', page)
    staves = [int(y) for y in re.findall(r'class="staff"><path d="M-?\d+ (\d+) L', page)]
    assert len(rows) >= 3 and len(set(rows)) == 1
    assert int(rows[0]) > max(staves)


def test_every_syllable_is_printed() -> None:
    found = [text for page in pages_of(long_song(20)) for text in texts(page)]
    assert [found.count(word) for word in ("lie", "ti", "pra", "sì")] == [20, 40, 20, 1]


# --- staves ----------------------------------------------------------------------------------------------


def test_names_stand_before_the_first_system() -> None:
    (page,) = pages_of(copied(MUSIC))
    assert {"Canto", "Tenore", "Theorbo", "Basso"} <= set(texts(page))


def test_a_voice_that_rests_through_a_line_is_left_out_of_it() -> None:
    """The first line shows everybody; the tenor sings in its first bar only."""
    typed = "| 1=X,3:3\nv 1=D5\n1 sì\n"
    pages = pages_of(copied(typed + "v2 1=D4\n1 sì\n" + typed * 30, HEADING))
    systems = re.split(r'class="system"', "".join(pages))[1:]
    clefs = [len(re.findall(r'class="clef"', system)) for system in systems]
    assert len(clefs) > 1 and clefs[0] == 4 and set(clefs[1:]) == {3}


def test_the_accompaniment_is_smaller() -> None:
    (page,) = pages_of(copied("| 1=X,3:3\nv 1=D5\n1 la\n", ALONE))
    heights = []
    for staff in re.findall(r'class="staff"><path d="M-?\d+ (\d+) [^>]*>((?:<path [^>]*>){4})', page):
        lines = [int(staff[0]), *(int(y) for y in re.findall(r'd="M-?\d+ (\d+) ', staff[1]))]
        heights.append(lines[-1] - lines[0])
    assert len(heights) == 3 and heights[1] == heights[2] == pytest.approx(0.85 * heights[0], rel=0.02)


def test_an_octave_sign_stands_at_its_head_even_if_the_note_is_alone() -> None:
    score = copied("| 4=1:0 2:3 3:2 3:0 |||", KEYBOARD.replace("metre 3", "metre C"))
    layer = score.measures[0].layers[0]
    head = replace(layer.events[0].heads[0], octave=Octave(1, asked=False, confidence=0.9))
    layer = replace(layer, events=(replace(layer.events[0], heads=(head,)), *layer.events[1:]))
    measure = replace(score.measures[0], layers=(layer, *score.measures[0].layers[1:]))
    (page,) = pages_of(replace(score, measures=(measure,)))
    at = re.search(rf'id="{head.id}" class="note[^"]*"><g class="notehead"><use [^>]*translate\((\d+), (\d+)\)', page)
    sign = re.search(r'<text x="(\d+)" y="(\d+)" [^>]*font-style="italic">8</text>', page)
    assert at and sign
    assert 0 < int(sign.group(1)) - int(at.group(1)) < 500, "on the right"
    assert 0 < int(sign.group(2)) - int(at.group(2)) < 360, "and lower"
    assert not any("(8)" in text for text in texts(page))


def test_editorial_notes_of_a_voice_are_marked() -> None:
    (page,) = pages_of(copied(MUSIC))
    overlay = "".join(re.findall(r'<g class="overlay">(.*?)</g></g>', page))
    assert overlay.count('stroke-width="17"') == 1, "square brackets round F sharp"
    assert overlay.count(">?<") == 1, "a question mark at B flat"


# --- the page --------------------------------------------------------------------------------------------


def test_method_and_cautions_on_the_last_page_only() -> None:
    pages = pages_of(long_song(60))
    assert len(pages) > 1
    assert ["Method and cautions" in texts(page) for page in pages] == [False] * (len(pages) - 1) + [True]
    assert not any("How to read this page" in texts(page) for page in pages)


def foot_and_systems(page: str) -> tuple[float, list[float]]:
    """Where the verses begin, and where the systems."""
    systems, verses = [], 0.0
    for match in re.finditer(r'<g transform="translate\(\d+ (\d+)\)[^"]*"><g ([^>]*)', page):
        if "verses" in match.group(2):
            verses = float(match.group(1))
        elif "system" in match.group(2) or "Milestone" in match.group(2):
            systems.append(float(match.group(1)))
    return verses, systems


def test_verses_stand_behind_the_music_of_the_last_page() -> None:
    verses = tuple((str(number), "Vola, sospir / di pace e di diletto") for number in range(3, 9))
    pages = pages_of(replace(long_song(12), verses=verses))
    found = [text for page in pages for text in texts(page)]
    assert found.count("Vola, sospir") == found.count("di pace e di diletto") == 6
    assert {"3.", "8."} <= set(found)
    top, systems = foot_and_systems(pages[-1])
    assert top > max(systems) > 0


def test_more_verses_than_a_page_holds_still_stand_somewhere() -> None:
    verses = tuple((str(number), " / ".join(["Vola, sospir leggiero"] * 6)) for number in range(3, 25))
    pages = pages_of(replace(long_song(12), verses=verses))
    assert sum(text == "Vola, sospir leggiero" for page in pages for text in texts(page)) == 22 * 6
    for page in pages:
        for match in re.finditer(r'<g class="verses">(.*?)</g>', page):
            (lowest,) = [max(int(y) for y in re.findall(r' y="(\d+)"', match.group(1)))]
            assert lowest < A4.height - BOTTOM


def test_a_page_is_turned_where_the_singer_rests() -> None:
    """Only right-hand pages, with odd numbers, are turned. Every fourth bar is silent."""
    score = long_song(90, rests=True)
    silent = {m.id for m in score.measures if all(e.kind is Kind.REST for s in m.sung for e in s.events)}
    places = {m.id: place for place, m in enumerate(score.measures)}
    pages = pages_of(score)
    assert len(pages) > 2
    turns = [re.findall(r'<g id="([^"]+)" class="measure', page)[-1] for page in pages[:-1:2]]
    for last in turns:
        after = score.measures[places[last] + 1].id
        assert {last, after} & silent, f"page turned behind {last}"


def test_a_section_title_stands_clear_of_the_clef() -> None:
    """A G clef rises about a staff space and a half over its staff."""
    (page,) = pages_of(copied(MUSIC))
    title = re.search(r'class="reh section[^"]*"><text x="(-?\d+)" y="(-?\d+)"', page)
    staff = re.search(r'class="staff"><path d="M-?\d+ (\d+) L', page)
    assert title and staff
    assert any(words.kind is WordsKind.SECTION for words in copied(MUSIC).measures[0].words)
    assert int(staff.group(1)) - int(title.group(2)) > 1.5 * 180


def test_a_line_that_begins_with_a_section_has_its_bar_number() -> None:
    music = "| 4=1:0 1:2 1:3 1:2\n" * 12 + "section Seconda\n" + "| 4=1:0 1:2 1:3 1:2\n" * 12
    pages = pages_of(copied(music, KEYBOARD.replace("metre 3", "metre C")))
    numbered = r'class="mNum"><text [^>]*>(\d+)</text></g><g id="[^"]*" class="reh'
    assert [number for page in pages for number in re.findall(numbered, page)] == ["13"]
