"""Pages of the edition of a song: voices over the tablature over the two staves over the bass, and what is said there.

Where no other source stands beside a rule, it is common practice of engraving, no source.
"""

from __future__ import annotations

import re

import pypdfium2
import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.model.score import Score
from pipeline.writers.engrave import engrave
from pipeline.writers.mei import write_mei
from pipeline.writers.pdf import Paper, write_pdf
from tests.songs import HEADING, edited

KEYED = HEADING.replace("metre C\n", "metre C\nkey G minor\neditor EB = E. B.\n")
MUSIC = """\
section Prima
| 2=X,3:3,2:1 7,3:0
v 4=D5 8=E _F 2'f=F#!
c A - -
1 ti_a- mo _ o_e-
2 Sa- lu- te _
b 4.=G2'6,4 8=F2'# 2=E2'4-3
| 1=X,3:3 .||
v 2=D5 _D5
1 ter- _
v2 8/3=C4 D4 E4 4=- 2=Bb3?
1 la la la _
| 1=X,3:3 |||
v 1=E5
1 no.
b 1=C3
stanza 3 Lieti prati, / verdi selve
"""
EDITED = """\
| 2=X,3:3,2:1 7,3:0
v 4=D5!E5"a 8=E F 2=F#!
c A!E - D!- -!B
1 can- to!ta"b del!- -!la
b 2=G2!A2 E2"c
"a EB: as in bar 3
"b EB: sense
"c EB: perhaps an octave lower
"""
_LINE = '| 1=X,3:3\nv 1=D5\n1 "la\n'


def pages_of(score: Score) -> tuple[str, ...]:
    engraved = engrave(write_mei(cast_off(score)), score)
    assert engraved.warnings == ()
    return engraved.pages


def texts(page: str) -> list[str]:
    root = etree.fromstring(page.encode())
    return ["".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")]


def foot_of(page: str) -> list[str]:
    """The lines of the notes at the foot."""
    foot = etree.fromstring(page.encode()).find(".//{*}g[@class='footnotes']")
    assert foot is not None
    return ["".join(text.itertext()) for text in foot.iter("{*}text")]


def joined(page: str) -> str:
    return " ".join(texts(page))


# --- staves ----------------------------------------------------------------------------------------------


def test_voices_tablature_two_staves_bass_from_the_top() -> None:
    """Common practice of editions of songs with tablature."""
    (page,) = pages_of(edited(MUSIC))
    first = page[page.index('class="measure"') : page.index('class="barLine"')]
    names = [
        name.partition("-m")[0] if "-m" in name else "staff"
        for name in re.findall(r'<g id="([^"]*)" class="staff"', first)
    ]
    assert names == ["line-v", "line-v2", "tab", "staff", "staff", "line-b"]
    tops = [int(y) for y in re.findall(r'class="staff"><path d="M-?\d+ (\d+) L', first)]
    assert tops == sorted(tops)


def test_words_figures_letters_names_are_printed() -> None:
    (page,) = pages_of(edited(MUSIC))
    found = texts(page)
    assert [found.count(word) for word in ("ti", "Sa", "lu", "la", "no.")] == [1, 1, 1, 3, 1]
    assert {"Canto", "Tenore", "Basso", "Theorbo", "A", "Prima", "Lieti prati,"} <= set(found)
    assert found.count("6") == 1 and 'class="type-accidental"' in page


def test_the_pdf_has_every_word() -> None:
    """As the reader pypdfium2 finds it."""
    score = edited(MUSIC)
    pdf = pypdfium2.PdfDocument(write_pdf(pages_of(score), "Trial", Paper.A4).content)
    found = "".join(page.get_textpage().get_text_range() for page in pdf)
    for word in ("Canto", "Tenore", "Basso", "Theorbo", "Prima", "mo", "Sa", "ter", "no.", "Lieti prati,"):
        assert word in found


def test_a_title_that_two_lines_share_is_moved_before_its_own_incipit() -> None:
    """Only the tenor has an old clef."""
    heading = HEADING.replace("Canto, clef C1", "Voce, clef G2").replace("Tenore,", "Voce,")
    (page,) = pages_of(edited(MUSIC, heading))
    names = re.findall(r'class="label"><text x="(-?\d+)"[^>]*>(?:<tspan [^>]*>)*Voce<', page)
    start = re.search(r'<g transform="translate\((-?\d+) -?\d+\) scale\([\d.]+\)"><g id="incipit-1"', page)
    assert start and len(names) == 2
    assert int(names[1]) <= int(start[1]) < int(names[0])


def test_stanza_numbers_before_the_lines_of_a_voice_with_several() -> None:
    (page,) = pages_of(edited(MUSIC))
    numbers = re.findall(r'class="label"><text x="(\d+)" y="(\d+)"[^>]*>(?:<tspan [^>]*>)*(\d)\.', page)
    assert [number for *_, number in numbers] == ["1", "2"], "the tenor has one stanza, and no number"
    first = re.search(r'class="syl"><text x="(\d+)" y="(\d+)"[^>]*>(?:<tspan [^>]*>)*ti<', page)
    assert first and int(numbers[0][0]) < int(first[1]) and numbers[0][1] == first[2]


def test_incipits_of_lines_in_old_clefs() -> None:
    """C clefs and void heads by their code points. Source: SMuFL 1.4, mensural clefs and noteheads."""
    (page,) = pages_of(edited(MUSIC))
    drawn = page[page.index('class="incipits"') :]
    drawn = drawn[: drawn.index('class="overlay"') if 'class="overlay"' in drawn else None]
    assert len(re.findall(r'id="incipit-\d"', drawn)) == 2, "not for the bass in F4"
    used = set(re.findall(r'href="#(E9[0-9A-F]{2})"', drawn))
    assert used & {"E907", "E906", "E908", "E909"} and used & {"E93C", "E93D", "E93B"}
    assert all(f'<g id="{code}">' in page for code in used), "the page has their outlines"


def test_an_incipit_stands_between_the_name_and_the_staff() -> None:
    (page,) = pages_of(edited(MUSIC))
    scale = re.search(r'<g transform="translate\((-?\d+) -?\d+\) scale\(([\d.]+)\)"><g id="incipit-1"', page)
    staff = re.search(r'id="line-v-m1" class="staff"><path d="M(\d+) ', page)
    name = re.search(r'class="label"><text x="(-?\d+)"[^>]*>(?:<tspan [^>]*>)*Canto<', page)
    width = re.search(r'id="incipit-1" class="staff"><path d="M-?\d+ -?\d+ L(\d+) ', page)
    assert scale and staff and name and width
    assert int(name[1]) <= int(scale[1])
    assert int(scale[1]) + float(scale[2]) * int(width[1]) < int(staff[1])


def test_compass_of_the_voices_at_the_head() -> None:
    (page,) = pages_of(edited(MUSIC))
    assert "Canto D5–F♯5 · Tenore B♭3–E4" in texts(page)


def test_signatures_that_differ_are_explained() -> None:
    """Canto and Basso have no signature in the source, the tenor one flat; G minor has two."""
    (page,) = pages_of(edited(MUSIC, KEYED))
    said = joined(page)
    assert "Canto, Tenore and Basso keep the signature" in said and "two flats, is the editor’s" in said
    same = HEADING.replace("metre C\n", "metre C\nkey C major\n").replace("C4, 1 flat", "C4")
    assert "signature" not in joined(pages_of(edited(MUSIC, same))[0])


# --- what the editor did -----------------------------------------------------------------------------------


def test_emendations_of_notes_words_bass_and_letters_have_their_notes_at_the_foot() -> None:
    (page,) = pages_of(edited(EDITED))
    foot = " ".join(foot_of(page))
    for said in (
        "Canto, note 1: E5 in the source; read D5; as in bar 3 (EB).",
        "Canto, note 2, stanza 1: “ta” in the source; read “to”; sense (EB).",
        "Canto, note 4: stanza 1, “la” in the source, left out.",
        "Basso, note 1: A2 in the source; read G2.",
        "Basso, note 2: perhaps an octave lower (EB).",
        "chord letter: “E” in the source; read “A”.",
        "chord letter: “B” in the source, left out.",
    ):
        assert said in foot


def test_each_letter_of_the_foot_stands_once_at_a_sign() -> None:
    score = edited(EDITED)
    (page,) = pages_of(score)
    letters = [text.strip("\u00a0") for text in texts(page)]
    assert len(score.footnotes) == 7
    assert [letters.count(note.letter) for note in score.footnotes] == [2] * 7, "once at the foot"


def test_added_notes_words_and_letters_are_bracketed() -> None:
    """F sharp, “del”, and the letter D; and the key to the signs says so."""
    (page,) = pages_of(edited(EDITED))
    assert "[ ] Supplied by the editor." in texts(page)
    overlay = page[page.index('class="overlay"') :]
    assert overlay.count('stroke-width="17"') == 3


# --- lines -----------------------------------------------------------------------------------------------


def silent_at_the_end(more: str = "") -> Score:
    """A song with a long ritornello, whose words stand over it."""
    sung = "| 4=X,3:3 3:2 3:1 3:0\nv 4=D5 E5 F5 G5\n1 lie- ti pra- ti\n" * 8
    return edited(f"{sung}section Ritornello\n" + "| 4=X,3:3 3:2 3:1 3:0\n" * 24 + f'{more}| 1=X,3:3 |||\n" : Fine\n')


def test_a_voice_is_left_out_of_lines_through_which_it_rests_but_not_its_words() -> None:
    pages = pages_of(silent_at_the_end())
    systems = re.split(r'class="system"', "".join(pages))[1:]
    voices = ["line-v-" in system for system in systems]
    assert voices[0] and not voices[-1]
    assert all('id="tab-m' in system for system in systems), "the tablature always stands"
    found = [text for page in pages for text in texts(page)]
    assert found.count("Ritornello") == 1 and found.count("Fine") == 1


def test_the_tablature_stands_even_where_it_rests() -> None:
    """Through a whole line: the engraver leaves out staves that are empty."""
    score = edited("| 4=X,3:3 3:2 3:1 3:0\nv 4=D5 E5 F5 G5\n1 lie- ti pra- ti\n" * 4 + "| 1=-\nv 1=D5\n1 la\n" * 30)
    for page in pages_of(score):
        for system in re.split(r'class="system"', page)[1:]:
            assert 'id="tab-m' in system


@pytest.mark.parametrize("bars", [1, 30])
def test_same_pages_twice(bars: int) -> None:
    assert pages_of(edited(MUSIC * bars)) == pages_of(edited(MUSIC * bars))


def test_an_added_bar_line_is_not_drawn_in_the_tablature() -> None:
    (page,) = pages_of(edited("| 1=X,3:3 |!\nv 1=D5\n1 la\nb 1=C3\n| 1=X,3:3 |||\nv 1=D5\n1 la\nb 1=C3\n"))
    line = re.search(r'class="barLine[^"]*">(.*?)</g>', page)
    tab = [int(y) for y in re.findall(r'id="tab-m1" class="staff"><path d="M\d+ (\d+) ', page)]
    assert line and tab
    pieces = [tuple(map(int, ys)) for ys in re.findall(r'd="M\d+ (\d+) L\d+ (\d+)"', line[1])]
    assert pieces and not any(min(piece) == tab[0] for piece in pieces)


def test_a_repeat_has_two_dots_on_each_staff() -> None:
    (page,) = pages_of(edited("| 1=X,3:3 .||\nv 1=D5\n1 la\nb 1=C3\n| 1=X,3:3 |||\nv 1=D5\n1 la\nb 1=C3\n"))
    dots = re.findall(r'href="#E044" transform="translate\(-?\d+, (\d+)\)', page)
    assert len(dots) == 2 * 5


def test_every_line_of_words_has_the_number_of_its_stanza() -> None:
    """Common practice of engraving, no source: who turns the eye to a new line finds the stanza again."""
    bar = "| 1=X,3:3\nv 4=D5 E F G\n1 la- la- la- la-\n2 stel- la stel- la\n"
    score = edited(bar * 14 + "| 1=X,3:3 |||\nv 1=D5\n1 la\n2 ma\n", KEYED)
    (page,) = pages_of(score)
    systems = page.split('class="system"')[1:]
    assert len(systems) > 2
    for system in systems:
        assert [len(re.findall(rf">\s*{number}\.\s*<", system)) for number in (1, 2)] == [1, 1]
