"""Pages: whole, quiet, the same every time, and nothing on top of anything else."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.record import replace
from pipeline.model.score import Footnote, LegendEntry, Score
from pipeline.writers.engrave import engrave
from pipeline.writers.engrave.drawing import draw
from pipeline.writers.engrave.paper import A4, BOTTOM, LETTER, MEASURE
from pipeline.writers.engrave.safety import drawable
from pipeline.writers.mei import write_mei
from tests import made
from tests.writers import scores
from tests.writers.pieces import FRENCH, MEASURED, PIECES, piece

SVG = {"s": "http://www.w3.org/2000/svg"}
ROOT = Path(__file__).resolve().parents[3]


def pages_of(score: Score) -> tuple[str, ...]:
    return engrave(write_mei(cast_off(score)), score).pages


def tree(page: str) -> etree._Element:
    return etree.fromstring(page.encode())


def texts(page: str) -> list[str]:
    return ["".join(text.itertext()) for text in tree(page).iter("{http://www.w3.org/2000/svg}text")]


def long_piece(bars: int, *, notes: bool = False) -> Score:
    """Bars of eight quavers over two basses, invented; with ``notes`` a footnote in every fourth."""
    lines = []
    for bar in range(bars):
        label = '"a' if notes and bar % 4 == 0 else ""
        lines.append(f"| 8=7,3:{bar % 4}{label} 3:2 2:1 1:0 8,3:{bar % 3} _3:2 2:3 1:1")
        if label:
            lines.append('"a EB: the figure stands half a line too high')
    heading = made.HEADING.replace("title Trial", "title Long trial") + "editor EB = E. B.\nmetre C\nkey D minor\n"
    return made.score("\n".join(lines) + " |||", heading)


# --- whole and quiet -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PIECES)
def test_no_warning_and_nothing_printed(name: str, capfd: pytest.CaptureFixture[str]) -> None:
    score = piece(name)
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    assert capfd.readouterr().err == ""
    for page in engraved.pages:
        assert tree(page).get("width") == "210mm"


def test_letter_pages_are_set_for_letter() -> None:
    """ANSI Y14.1: 8.5 by 11 inches. The lines are those of A4, the pages shorter, and nothing stands below them."""
    score = long_piece(90, notes=True)
    letter = engrave(write_mei(cast_off(score)), score, LETTER).pages
    a4 = engrave(write_mei(cast_off(score)), score).pages
    assert len(letter) >= len(a4)
    for page in letter:
        root = tree(page)
        assert (root.get("width"), root.get("height")) == ("215.9mm", "279.4mm")
        assert root.get("viewBox") == f"0 0 {LETTER.width} {LETTER.height}"
        for shift in re.findall(r'<g transform="translate\(\d+ (\d+)\)', page):
            assert int(shift) < LETTER.height - BOTTOM


def test_warnings_are_returned_and_not_printed(capfd: pytest.CaptureFixture[str]) -> None:
    score = scores.everything()
    odd = write_mei(cast_off(score)).replace(b"<tie ", b"<line ")
    assert any("line" in warning for warning in engrave(odd, score).warnings)
    assert capfd.readouterr().err == ""


def test_a_document_that_cannot_be_loaded_gives_a_title_page() -> None:
    score = scores.everything()
    engraved = engrave(b'<mei xmlns="http://www.music-encoding.org/ns/mei"/>', score)
    assert engraved.warnings
    assert "Trial" in texts(engraved.pages[0])


@pytest.mark.parametrize("name", PIECES)
def test_every_measure_figure_and_head_is_drawn_once(name: str) -> None:
    score = piece(name)
    drawn = [ident for page in pages_of(score) for ident in re.findall(r' id="([^"]+)" class', page)]
    assert len(drawn) == len(set(drawn))
    wanted = {measure.id for measure in score.measures}
    wanted |= {figure.id for m in score.measures for event in m.tab for figure in event.figures}
    wanted |= {head.id for m in score.measures for layer in m.layers for e in layer.events for head in e.heads}
    assert wanted <= set(drawn)


def test_every_slur_of_the_tablature_is_drawn_by_its_id() -> None:
    page = pages_of(piece("slurs, hold, arpeggio"))[0]
    slurs = [slur.id for m in piece("slurs, hold, arpeggio").measures for slur in m.slurs if slur.tablature]
    holds = [hold.id for m in piece("slurs, hold, arpeggio").measures for hold in m.holds]
    assert slurs and holds
    assert all(f'<g id="{name}" class="tablature-span"><path' in page for name in slurs + holds)


# --- the same every time ---------------------------------------------------------------------------------


def test_same_pages_twice() -> None:
    score = scores.everything()
    assert pages_of(score) == pages_of(score)


def test_same_pages_in_processes_with_other_hash_seeds() -> None:
    code = (
        "import hashlib, sys\n"
        "from pipeline.edition.casting import cast_off\n"
        "from pipeline.writers.engrave import engrave\n"
        "from pipeline.writers.mei import write_mei\n"
        "from tests.writers.scores import everything\n"
        "score = everything()\n"
        "print(hashlib.sha256(repr(engrave(write_mei(cast_off(score)), score)).encode()).hexdigest())\n"
    )
    answers = {
        subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(answers) == 1


# --- the page --------------------------------------------------------------------------------------------


def placed(page: str) -> list[tuple[str, float]]:
    """What stands on the page one under another: (class of the first thing inside, distance from the top)."""
    found = []
    for group in tree(page).xpath("/s:svg/s:g", namespaces=SVG):  # type: ignore[union-attr]
        y = float(group.get("transform").split(")")[0].split()[-1])  # type: ignore[union-attr]
        inner = next(child for child in group.iter() if child is not group and child.get("class"))  # type: ignore[union-attr]
        found.append((str(inner.get("class")), y))
    return found


def heights_of(score: Score, size: float) -> list[float]:
    """Heights of the systems of a score printed at a size."""
    document = drawable(write_mei(cast_off(score)))
    return [system.height * size for system in draw(document.mei, size).systems]


def size_of(page: str) -> float:
    """The size that the systems of a page are printed at."""
    scale = re.search(r'\) scale\(([\d.]+)\)"><g id="[^"]*" class="system"', page)
    return float(scale.group(1)) if scale else 1.0


def test_systems_do_not_touch_each_other_or_the_notes() -> None:
    score = long_piece(60, notes=True)
    pages = pages_of(score)
    heights = iter(heights_of(score, size_of(pages[0])))
    for page in pages:
        systems = [(y, next(heights)) for kind, y in placed(page) if "Milestone" in kind or kind == "system"]
        foot = [y for kind, y in placed(page) if kind in ("footnotes", "legend")]
        assert systems
        for (y, height), (below, _) in pairwise(systems):
            assert y + height < below
        assert systems[-1][0] + systems[-1][1] < min(foot, default=A4.height - BOTTOM)


def test_about_four_systems_on_a_full_page() -> None:
    second = pages_of(long_piece(60, notes=True))[1]
    assert len([kind for kind, _ in placed(second) if kind == "system" or "Milestone" in kind]) in (4, 5)


def test_footnotes_stand_on_the_page_of_their_bar() -> None:
    score = long_piece(60, notes=True)
    pages = pages_of(score)
    assert len(pages) > 2
    for note in score.footnotes:
        (page,) = [page for page in pages if f'id="{note.measure}"' in page]
        assert any(note.text[:14] in text for text in texts(page)), note
    assert sum(text.startswith("Bar ") for page in pages for text in texts(page)) == len(score.footnotes)


def test_key_to_the_signs_on_the_first_page_only() -> None:
    pages = pages_of(long_piece(60))
    assert ["How to read this page" in texts(page) for page in pages] == [True] + [False] * (len(pages) - 1)


def test_running_head_from_page_two_on() -> None:
    pages = pages_of(long_piece(60))
    assert "2" not in texts(pages[0])
    for number, page in enumerate(pages[1:], start=2):
        assert {str(number), "Long trial"} <= set(texts(page))


def test_more_notes_than_a_page_holds_go_to_the_end() -> None:
    score = scores.everything()
    many = tuple(
        Footnote("a", "m2", f"Bar 1, event {n}: a reading that needs a line or two to be told in full.")
        for n in range(90)
    )
    pages = pages_of(replace(score, footnotes=many))
    assert sum(text.startswith("Bar 1, event") for page in pages for text in texts(page)) == 90
    assert not any(text.startswith("Bar 1, event") for text in texts(pages[0]))


def test_all_type_keeps_to_the_measure() -> None:
    """Every line of notes ends before the right edge of the music. Widths: Liberation Serif."""
    score = scores.everything()
    words = "word and another, until the line must be broken somewhere; "
    long_note = replace(
        score,
        footnotes=tuple(Footnote(letter, "m2", words * 6) for letter in "abcd"),
        legend=(LegendEntry("(8)", words * 5), LegendEntry("Staves:", words * 4)),
    )
    from pipeline.writers.engrave.widths import text_width  # noqa: PLC0415  only here

    for page in pages_of(long_note):
        for text in tree(page).xpath("//*[@class='footnotes' or @class='legend']//s:text", namespaces=SVG):  # type: ignore[union-attr]
            end = float(text.get("x")) + text_width("".join(text.itertext()), float(text.get("font-size")))  # type: ignore[union-attr]
            assert end <= MEASURE + 60


def test_music_keeps_to_the_measure() -> None:
    for page in pages_of(long_piece(20)):
        ends = [int(x) for x in re.findall(r'class="staff[^"]*"><path d="M-?\d+ \d+ L(\d+) ', page)]
        size = re.search(
            r'<g transform="translate\(\d+ \d+\) scale\(([\d.]+)\)"', page
        )  # of a full page, drawn smaller
        assert A4.left + max(ends) * (float(size.group(1)) if size else 1) <= A4.width


def test_a_piece_without_music_has_a_title_page() -> None:
    (page,) = pages_of(piece("nothing"))
    assert "Trial" in texts(page)


def test_typed_markup_is_only_text() -> None:
    score = replace(scores.everything(), credits=replace(scores.everything().credits, title="A < B & \x07 C"))
    assert "A < B & \ufffd C" in texts(pages_of(score)[0])


# --- signs -----------------------------------------------------------------------------------------------


def figure_places(page: str) -> dict[str, tuple[float, float]]:
    found = re.finditer(r'<g id="(t-[^"]+)" class="note[^"]*"><use [^>]*translate\((-?\d+), (-?\d+)\)', page)
    return {match.group(1): (float(match.group(2)), float(match.group(3))) for match in found}


def test_italian_course_one_is_the_bottom_line() -> None:
    """Source: facts of the trade, PS/CP."""
    (page,) = pages_of(made.score("| 4=6:1,1:1 X", made.HEADING + "metre none\n"))
    heights = {name[-2:]: y for name, (_, y) in figure_places(page).items()}
    assert heights["c1"] > heights["c6"] > heights["10"], "diapasons stand over the top line"


def test_french_course_one_is_the_top_line() -> None:
    """Source: facts of the trade, PS-inf."""
    (page,) = pages_of(made.score("| 6b,1b /a", FRENCH))
    heights = {name[-2:]: y for name, (_, y) in figure_places(page).items()}
    assert heights["c1"] < heights["c6"] < heights["c8"]


def test_an_added_bar_line_is_not_drawn_through_the_tablature() -> None:
    (page,) = pages_of(piece("added bar line"))
    lines = sorted({int(y) for y in re.findall(r'class="staff"><path d="M-?\d+ (\d+) L', page)})
    dashed = re.findall(r'<path d="M\d+ (\d+) L\d+ (\d+)"[^>]*stroke-dasharray', page)
    assert dashed
    last_tablature_line = lines[0] + 5 * 252
    assert min(int(y) for pair in dashed for y in pair) >= last_tablature_line


def test_editorial_signs_are_drawn() -> None:
    """Square brackets for what is supplied, a raised question mark for what is doubtful, in both places."""
    (page,) = pages_of(piece("editing"))
    overlay = "".join(re.findall(r'<g class="overlay">.*?</g><', page))
    score = piece("editing")
    heads = [head for m in score.measures for layer in m.layers for e in layer.events for head in e.heads]
    bracketed = sum("bracketed" in head.editorial.value for head in heads)
    assert overlay.count('stroke-width="17"') >= bracketed + 2
    assert overlay.count(">?<") >= 2


def test_an_octave_sign_inside_a_chord_stands_at_its_head() -> None:
    (page,) = pages_of(scores.everything())
    head = re.search(r'id="n-b2e1c2" class="note"><g class="notehead"><use [^>]*translate\((\d+), (\d+)\)', page)
    sign = re.search(r'<text x="(\d+)" y="(\d+)" [^>]*>8</text>', page)
    assert head and sign
    assert 0 < int(sign.group(1)) - int(head.group(1)) < 500
    assert abs(int(sign.group(2)) - int(head.group(2))) < 360


def test_a_repeat_has_two_dots_on_every_staff() -> None:
    (page,) = pages_of(piece("repeats, endings"))
    lines = re.findall(r'<g id="[^"]*" class="barLine[^"]*">(?:<(?:path|use) [^>]*/>)+</g>', page)
    dotted = [line.count("#E044") for line in lines if "#E044" in line]
    assert dotted and set(dotted) <= {6, 12}


@pytest.mark.parametrize(("stop", "lines"), [("7:1", 1), ("7", 0), ("6:1", 0)])
def test_a_stopped_course_without_a_line_has_a_short_one(stop: str, lines: int) -> None:
    """Or it would be taken for a diapason. Common practice, no source."""
    heading = "longneck 1\ntitle Trial\ninstrument lute in G, 8 courses\nstopped 8\nmetre none\n"
    (page,) = pages_of(made.score(f"| 1={stop} |||", heading))
    figure = next(iter(figure_places(page).values()))
    found = [
        (float(x1), float(x2))
        for x1, x2 in re.findall(r'class="ink" d="M(-?\d+) -?\d+ L(-?\d+) -?\d+" stroke-width="13"', page)
    ]
    assert len(found) == lines
    assert all(left < figure[0] < right for left, right in found)


def test_a_section_title_stands_at_the_left_edge() -> None:
    (page,) = pages_of(piece("form"))
    assert re.search(r'class="reh section[^"]*"><text x="0"', page)


def test_slur_over_the_end_of_a_system() -> None:
    bars = "\n".join("| 4=_3:2 3:3 3:2 3:0" if bar else "| 4=3:2 3:3 3:2 3:0" for bar in range(40))
    score = made.score(bars, MEASURED.replace("metre 3", "metre C"))
    pages = pages_of(score)
    halves = sum(page.count(" Q") for page in pages)
    systems = sum(len([k for k, _ in placed(page) if k == "system" or "Milestone" in k]) for page in pages)
    assert halves == 2 * (systems - 1) > 0


def test_a_line_over_a_whole_system_is_not_lost() -> None:
    bars = ["| 4=3:2,5:0 _3:3 _3:2 _3:0", *("| 4=_3:2 _3:3 _3:2 _3:0" for _ in range(40)), "| 4=_3:2 5:- |||"]
    pages = pages_of(made.score("\n".join(bars), MEASURED.replace("metre 3", "metre C")))
    systems = sum(len([k for k, _ in placed(page) if k == "system" or "Milestone" in k]) for page in pages)
    straight = sum(len(re.findall(r'class="ink" d="M100 \d+ L', page)) for page in pages)
    assert sum(page.count(" Q") for page in pages) == 2
    assert straight >= 2 * (systems - 2) > 0


def test_numbers_of_notes_on_whole_bars_stand_over_their_bar_lines() -> None:
    """Also where the bar begins a system and has its number there."""
    bars = "\n".join(f'| 1=3:{n % 4}\n" : x\n" EB: a note on bar {n}' for n in range(40))
    heading = made.HEADING + "editor EB = E. B.\nmetre C\n"
    score = made.score(bars, heading)
    numbers = {measure.footnote for measure in score.measures}
    assert len(numbers) == 40 and "" not in numbers
    overlays = "".join("".join(re.findall(r'<g class="overlay">(.*?)</g></g>', page)) for page in pages_of(score))
    rings = re.findall(r'class="ink reference" [^>]*/><text [^>]*>(\d+)</text>', overlays)
    assert numbers <= set(rings)


def test_stops_one_after_another_stand_aslant() -> None:
    """The third course is struck, then, after the second, once more: two figures on one line, that of the second course
    between them. Source: common practice, no source."""
    (page,) = pages_of(made.score("| 1=7>3:0>2:1>3:1 |||"))
    places = [
        re.findall(rf'<g id="t-{name}" class="note"><use [^>]*translate\((\d+), (\d+)\)', page)
        for name in ("b1e1c3", "b1e1c2", "b1e1c3r2")
    ]
    ((first, line),), ((second, _),), ((again, same),) = places
    assert line == same
    assert 150 < int(second) - int(first) < 200
    assert 150 < int(again) - int(second) < 200


def test_a_chord_played_downwards_has_an_arrow() -> None:
    """Stops set one after another from the highest down, or in a mixed order, from the first to the last; a wavy line
    without an arrow is read upwards (common practice, no source)."""
    orders = [
        (arpeg.get("order"), arpeg.get("arrow"))
        for bar in ("| 1=3:3>2:1 |||", "| 1=2:1>3:3 |||", "| 1=3:3>2:1>4:0 |||")
        for arpeg in etree.fromstring(write_mei(cast_off(made.score(bar)))).iter(
            "{http://www.music-encoding.org/ns/mei}arpeg"
        )
    ]
    assert orders == [("down", "true"), ("up", None), ("down", "true")]
