"""The retuning sheet as text, page and PDF: what is said, and that nothing typed becomes markup."""

from __future__ import annotations

import re

import pypdfium2
import pytest
from lxml import html

from pipeline.desk.programme.listing import sheet_lines
from pipeline.desk.programme.plan import programme
from pipeline.desk.programme.sheet import Programme
from pipeline.desk.programme.writers import words
from pipeline.desk.programme.writers.page import programme_page
from pipeline.desk.programme.writers.pdf import programme_pdf
from pipeline.model.options import Sheet
from pipeline.model.sounding import SoundingPiece
from tests.made import resolved


def piece(*lines: str, music: str = "| 1=7,3:0", instrument: str = "theorbo in A") -> SoundingPiece:
    heading = "\n".join(["longneck 1", f"instrument {instrument}", "metre none", *lines, ""])
    return resolved(music, heading)[0]


def play(*pieces: SoundingPiece, fewest: bool = False) -> Programme:
    return programme([(f"{n}.intav", one) for n, one in enumerate(pieces, start=1)], fewest=fewest)


def text(made: Programme) -> list[str]:
    return [line.plain for line in sheet_lines(made)]


def on_page(made: Programme) -> list[str]:
    """The page's words, one line for each heading, paragraph and row."""
    tree = html.fromstring(programme_page(made))
    return [
        " ".join(" ".join(part.itertext()).split())
        for part in tree.iter("h1", "h2", "h3", "p", "li", "tr")
        if len(part) or part.text
    ]


def on_paper(made: Programme, sheet: Sheet = Sheet.A4) -> str:
    document = pypdfium2.PdfDocument(programme_pdf(made, sheet))
    return "\n".join(page.get_textpage().get_text_range() for page in document)


TWO = (
    piece("title Toccata", "pitch 415", "diapasons 8 = F#2"),
    piece("title Corrente", "pitch 415", "diapasons 12 = Bb1", music="| 1=8,3:0"),
)


# --- what is said -------------------------------------------------------------------------------------------


def test_the_sheet_as_text() -> None:
    lines = text(play(*TWO))
    assert lines[: -len(words.CAUTIONS)] == [
        "Retuning sheet",
        "Strings that move between pieces: 2.",
        "",
        "1. Toccata  (theorbo in A, A4 = 415 Hz)",
        "    Courses 1 to 6: A3 E3 B3 G3 D3 A2",
        "    course     7     8     9    10    11    12    13    14",
        "    pitch     G2   F#2    E2    D2    C2    B1    A1    G1",
        "    Hz      92.4  87.2  77.7  69.2  61.7  58.2  51.9  46.2",
        "    Declared: 8. As usual on this instrument: 7, 9 to 14.",
        "",
        "    Before 2:",
        "         8   F#2 → F2   down a semitone   87.2 → 82.3 Hz",
        "        12   B1 → Bb1   down a semitone   58.2 → 55.0 Hz   (not struck in this piece)",
        "",
        "2. Corrente  (theorbo in A, A4 = 415 Hz)",
        "    course     7     8     9    10    11    12    13    14",
        "    pitch     G2    F2    E2    D2    C2   Bb1    A1    G1",
        "    Hz      92.4  82.3  77.7  69.2  61.7  55.0  51.9  46.2",
        "    Declared: 12. As usual on this instrument: 7 to 11, 13, 14.",
        "",
    ]
    assert lines[-len(words.CAUTIONS) :] == [f"- {said}" for said in words.CAUTIONS]


@pytest.mark.parametrize(
    ("tenths", "said"),
    [
        (1000, "up a semitone"),
        (-2000, "down a whole tone"),
        (3000, "up 3 semitones"),
        (-12000, "down 12 semitones"),
        (1013, "up 101 cents"),
        (-13, "down 1 cent"),
        (3, "up less than a cent"),
    ],
)
def test_how_far(tenths: int, said: str) -> None:
    assert words.way(tenths) == said


def test_a_standard_that_changes_is_said_and_asked_about() -> None:
    lines = text(play(piece("pitch 415"), piece("pitch 440", "diapasons 8 = F#2")))
    at = lines.index("    Before 2:")
    assert lines[at + 1 : at + 3] == [
        "        The pitch standard changes from A4 = 415 to 440 Hz: with it every string goes up 101 cents. Is "
        "that intended? --pitch 415 sets one standard for all pieces.",
        "         8   F2 → F#2   up 201 cents   82.3 → 92.5 Hz   (not struck in this piece)",
    ]
    assert "Strings that move between pieces: 14." in lines


def test_pairs_and_single_strings_of_a_pair() -> None:
    lute = {"instrument": "lute in G, 10 courses", "music": "| 1=7"}
    lines = text(play(*(piece(f"course 7 = {pair}", **lute) for pair in ("F2+F3", "F#2+F#3", "F#2+F#2"))))
    moves = [line.strip() for line in lines if "→" in line]
    assert moves == [
        "7   F2+F3 → F#2+F#3   up a semitone   87.3+174.6 → 92.5+185.0 Hz",
        "7   F#3 → F#2   down 12 semitones   185.0 → 92.5 Hz   (octave string)",
    ]


def test_a_tuning_that_may_be_meant_is_a_question() -> None:
    in_g = "\n".join(["| 2=7,4:1,3:0,2:0 6:0,5:2,4:2,3:2", "| 2=6:0,4:2,3:2,2:0 7,4:1,3:0,2:0"] * 4)
    (said,) = (line for line in text(play(piece(instrument="archlute in G", music=in_g))) if "meant to be" in line)
    assert re.fullmatch(
        r"    Is course 7 meant to be F#2\? Nothing is declared; the fretted notes ask for it \(9\d% likely\)\. Ask "
        r"the editor, or look at the source, before you tune\. As usual on this instrument: 8 to 14\.",
        said,
    )


def test_orders_say_what_is_known_of_them() -> None:
    assert words.counts(play(*TWO)) == "Strings that move between pieces: 2."
    made = play(TWO[0], TWO[1], TWO[0], fewest=True)
    assert words.counts(made) == ("Strings that move between pieces: 2; in the order given: 4. No order has fewer.")
    assert [one.given for one in made.pieces] == [1, 3, 2]


# --- limits -------------------------------------------------------------------------------------------------


def test_limits_only_where_lengths_are_declared() -> None:
    assert not list(words.limits(play(*TWO)))
    (said,) = words.limits(play(piece("strings 80 cm, 160 cm")))
    # PS-inf: gut breaks at about 248 Hz·m: 0.80 m holds up to 310 Hz
    assert "theorbo in A: 310 Hz on 80 cm, 155 Hz on 160 cm" in said
    assert "second-hand" in said and "maker" in said and "No string is safe there" in said


def test_a_string_that_would_come_near_breaking_is_warned_of() -> None:
    long = ("strings 80 cm, 160 cm", "pitch 440")
    lines = text(play(piece(*long), piece(*long, "course 1 = D4"), piece(*long, "course 1 = E4"), piece(*long)))
    notes = [line.partition("(")[2] for line in lines if line.startswith("         1   ")]
    assert notes == [
        "not struck in this piece; near where plain gut of 80 cm breaks, about 310 Hz)",
        "not struck in this piece; beyond where plain gut of 80 cm breaks, about 310 Hz: leave it, and ask a maker)",
        "not struck in this piece)",
    ]


# --- page ---------------------------------------------------------------------------------------------------


def test_the_page_says_the_same() -> None:
    words_of_page = on_page(play(*TWO))
    assert words_of_page[0] == "Retuning sheet"
    assert "1. Toccata" in words_of_page and "Before 2" in words_of_page
    assert "8 F♯2 → F2 down a semitone 87.2 → 82.3 Hz" in words_of_page
    assert "pitch G2 F2 E2 D2 C2 B♭1 A1 G1" in words_of_page
    assert all(said in words_of_page for said in words.CAUTIONS)


def test_what_is_typed_never_becomes_markup() -> None:
    made = play(piece("title <script>alert(1)</script> & <b>", instrument="theorbo in A"))
    tree = html.fromstring(programme_page(made))
    assert not tree.xpath("//script | //b")
    assert tree.xpath("//h2")[0].text == "1. <script>alert(1)</script> & <b>"


def test_headings_of_the_scale_belong_to_their_cells() -> None:
    tree = html.fromstring(programme_page(play(*TWO)))
    (first, _) = tree.xpath("//table[@class='scale']")
    assert first.get("aria-label") == "Diapasons of Toccata"
    assert {cell.get("scope") for cell in first.iter("th")} == {"row", "col"}


# --- paper --------------------------------------------------------------------------------------------------


def test_the_paper_says_the_same() -> None:
    said = on_paper(play(*TWO))
    for expected in ("Retuning sheet", "Before 2", "F♯2 → F2", "down a semitone", "87.2 → 82.3 Hz", "1. Toccata"):
        assert expected in said
    assert " ".join(words.CAUTIONS[0].split()) in " ".join(said.split())


def test_same_bytes_every_time_and_the_paper_asked_for() -> None:
    made = play(*TWO)
    assert programme_pdf(made) == programme_pdf(made)
    # ISO 216: 210 × 297 mm; ANSI Y14.1: 8.5 × 11 inches
    sizes = {sheet: pypdfium2.PdfDocument(programme_pdf(made, sheet))[0].get_size() for sheet in Sheet}
    assert sizes[Sheet.A4] == pytest.approx((595.3, 841.9), abs=0.1)
    assert sizes[Sheet.LETTER] == pytest.approx((612, 792), abs=0.1)


def test_a_change_stands_on_the_page_of_its_piece() -> None:
    pieces = [piece(f"title Piece {n}", f"diapasons 8 = {'F#2' if n % 2 else 'F2'}") for n in range(1, 21)]
    document = pypdfium2.PdfDocument(programme_pdf(play(*pieces)))
    pages = [page.get_textpage().get_text_range() for page in document]
    assert len(pages) > 4
    for place in range(2, 21):
        with_change = [number for number, said in enumerate(pages) if re.search(rf"Before {place}\b", said)]
        with_piece = [number for number, said in enumerate(pages) if f"{place}. Piece {place}" in said]
        assert with_change == with_piece and len(with_piece) == 1


def test_long_titles_and_strange_signs_stay_on_the_paper() -> None:
    made = play(piece("title " + "Toccata per la tiorba " * 20 + "W" * 200 + " \U0001f3b8"), *TWO)
    document = pypdfium2.PdfDocument(programme_pdf(made))
    for page in document:
        text_page = page.get_textpage()
        width, height = page.get_size()
        for place in range(text_page.count_rects()):
            left, bottom, right, top = text_page.get_rect(place)
            assert 0 < left < right < width and 0 < bottom < top < height


def test_a_piece_that_is_higher_than_a_page_goes_on_over_it() -> None:
    bars = "\n".join(f"retune 8 = {'F#2' if n % 2 else 'F2'}\n| 1=8" for n in range(60))
    said = on_paper(play(piece(music=bars)))
    assert said.count("up a semitone") == 30 and said.count("down a semitone") == 29
