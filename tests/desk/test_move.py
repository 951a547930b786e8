"""A piece moved to another key or instrument: what stays, what moves along, what is said of what cannot."""

from __future__ import annotations

from itertools import pairwise

import pytest

from pipeline.desk.move.moving import move
from pipeline.desk.move.record import Asked
from pipeline.desk.move.wish import Wish, asked_of
from pipeline.edition.leading import led
from pipeline.folder.files import PieceFile
from pipeline.model.chordletters import Letters, moved_letter
from pipeline.model.interval import Interval
from pipeline.model.record import replace
from pipeline.model.text import SourceText
from pipeline.source.declare.book import BOOK_KEYS
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from pipeline.source.read import read_piece
from tests.desk.moved import ANTHOLOGY, HEADING, Read, anthology, asked, bars, kinds_of, moved, music, read


def said(piece: Read, transpose: str = "", instrument: str = "", signs: str = "") -> list[str]:
    return [one.message for one in moved(piece, transpose, instrument, signs).diagnostics]


def heading(piece: Read, transpose: str = "", instrument: str = "", signs: str = "") -> list[str]:
    return moved(piece, transpose, instrument, signs).text.partition("\n\n")[0].splitlines()


def test_a_moved_piece_has_no_line_of_the_book_that_its_folder_is() -> None:
    """The anthology is a book; what its heading says of pieces is carried over, what it says of the book is not."""
    made = moved(anthology(ANTHOLOGY[-1]), "-M2")
    keys = {line.split()[0] for line in made.text.partition("\n\n")[0].splitlines()}
    assert {"edition", "licence"} <= keys and not keys & set(BOOK_KEYS)
    assert "book-line" not in kinds_of(made.text)


# --- the fingering ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("piece", ANTHOLOGY, ids=lambda piece: piece.path.stem)
def test_with_the_source_s_own_places_given_nothing_changes(piece: PieceFile) -> None:
    """Only the heading says more: where the text comes from, and what the folder's headings said."""
    source = anthology(piece)
    made = moved(source, "P1", keep=source)
    tidy = write_encoding(parse(SourceText.of("piece.intav", source.text)).value)
    assert bars(made.text) == bars(tidy)
    assert made.diagnostics == ()


def test_a_tone_down_is_no_shift_of_frets() -> None:
    """D minor on the theorbo in A: C2 G3 C4 Eb3 lies in first position, the bass on the eleventh course (common
    practice, no source)."""
    assert bars(moved(music("| 1=X,4:2,3:3,2:1 |||"), "-M2").text) == ["| 1=11,5:1,4:0,3:1 |||"]


def test_another_instrument_a_tone_lower_plays_a_tone_lower_from_the_same_places() -> None:
    piece = music("| 4=X,4:2,3:3,2:1 3:5 3:6 2:0\n| 1=13,5:2,4:2,3:2 |||")
    assert bars(moved(piece, "-M2", "theorbo in G").text) == bars(piece.text)


def test_slurs_stay_on_one_course_and_holds_on_theirs() -> None:
    made = moved(music("| 8=X,4:2 3:3 _3:5 _3:6 4=5:2,3:5 4=5:-,3:3\n| 1=X |||"), "M2")
    assert kinds_of(made.text) <= {"octave-doubtful"}
    first = bars(made.text)[0].split()
    assert "_" in first[3] and {word.lstrip("_8=").split(":")[0] for word in first[2:5]} != set()
    assert len({word.lstrip("_").split(":")[0] for word in first[2:5]}) == 1
    held = first[5].split("=")[1].split(",")[0].split(":")[0]
    assert f"{held}:-" in first[6]


def test_bells_ring_on_different_courses() -> None:
    """A scale whose notes all lie on courses of their own keeps doing so."""
    made = moved(music("| 8=12,3:3 1:3 4:3 1:0 4:0 5:3 2:0 5:0\n| 1=X |||"), "-M2")
    courses = [word.split(",")[-1].split(":")[0].removeprefix("8=") for word in bars(made.text)[0].split()[1:]]
    assert all(one != two for one, two in pairwise(courses))


def test_a_strum_is_a_block() -> None:
    made = moved(music("| 4'd=X,5:0,4:2,3:3,2:1,1:0 8'd== 'u== 2'd==\n| 1=X |||"), "-M2")
    chord = bars(made.text)[0].split()[1]
    courses = sorted(int(stop.split(":")[0]) for stop in chord.split("=")[1].split(",") if ":" in stop)
    assert courses == list(range(courses[0], courses[-1] + 1))
    assert bars(made.text)[0].split()[2:] == ["8'd==", "'u==", "2'd=="]


def test_bars_that_are_not_written_out_stay_so() -> None:
    piece = music("section Prima\n| 1=X,4:2,3:3\n| 2=11,3:3 _3:5\n| ditto 2\n| ditto Prima 1 |||")
    assert bars(moved(piece, "M2").text)[3:] == ["| ditto 2", "| ditto Prima 1 |||"]


# --- what is said -----------------------------------------------------------------------------------------------


def test_a_note_in_another_octave_is_told_with_other_places_and_marked_in_the_bar() -> None:
    made = moved(music("| 1=13,4:2 |||"), "-P4")
    (told,) = made.diagnostics
    assert told.code.slug == "octave-changed"
    assert told.message == "Bar 1, event 1: 9 is an octave higher than in the source."
    assert bars(made.text) == [
        "| 1=9,2:0 |||",
        '" MV: event 1: 9 is an octave higher than in the source',
    ]
    assert "editor MV = the moving to this key and instrument" in made.text
    assert kinds_of(made.text) == set()


def test_a_note_without_a_place_is_left_out_and_told() -> None:
    """Seven notes for six courses."""
    piece = music("| 1=X,6:0,5:2,4:2,3:2,2:0,1:0 |||")
    assert any("is left out" in one for one in said(piece, "", "lute in G, 6 courses"))


def test_other_fingerings_that_are_as_good_are_told() -> None:
    """In a chord over C2 the C4 lies on the third course or, two frets higher, on the first. Nothing marks the bar."""
    source = anthology(next(piece for piece in ANTHOLOGY if "bergamasca" in piece.path.stem))
    told = [one for one in moved(source, "-M2").diagnostics if one.code.slug == "other-fingering"]
    assert told and all(one.message.endswith(" can be fingered otherwise as well.") for one in told)
    for one in told:
        chosen = one.message.split(": ")[1].split(" ")[0]
        assert chosen not in one.hint.split(": ")[1].split(" · ")
    assert not [one for one in moved(source, "P1", keep=source).diagnostics if one.code.slug == "other-fingering"]


def test_fingers_stay_where_the_hand_stays() -> None:
    piece = music("| 2=X,3:3'3 3:2'2 |||")
    assert bars(moved(piece, "-M2", "theorbo in G").text) == ["| 2=X,3:3'3 3:2'2 |||"]
    told = said(piece, "-M2")
    assert "'3" not in moved(piece, "-M2").text and any("left-hand fingers" in one for one in told)


def test_chord_letters_are_left_out_once_told() -> None:
    piece = music("| 1=X,4:2,3:3\nc E\n| 1=7,4:0,3:0 |||\nc A")
    assert sum("chord letters" in one for one in said(piece, "M2")) == 1
    assert "\nc " not in moved(piece, "M2").text
    assert "\nc E\n" in moved(piece, "", "", "french").text


# --- what stands beside the stops -------------------------------------------------------------------------------


def test_emendations_keep_the_source_s_sign_beside_the_edition_s() -> None:
    """F for G: a tone lower E flat for F on the same course."""
    made = moved(
        music('| 2=3:3!3:5"a !3:6 |||\n"a EB: digits confused'.replace("EB", "E"), f"{HEADING}editor E = E.\n"), "-M2"
    )
    assert bars(made.text)[:2] == ['| 2=3:1!3:3"a !3:4 |||', '"a E: digits confused']


def test_pins_count_the_octave_from_where_the_note_sounds_now() -> None:
    piece = music('| 4=8,4:2,3:1 2:3"a 2=3:3 |||\n"a > octave up, lasts 4')
    (pin,) = [line for line in bars(moved(piece, "P1", "archlute in G").text) if line.startswith('"a')]
    assert pin == '"a > octave kept, lasts 4'


def test_voices_basses_and_keys_move_along() -> None:
    """G minor a tone down is F minor; the figure # on D, a tone lower, is a natural on C (common practice)."""
    lines = "| 1=6:0,5:2,4:2,3:1\nv 2=D5 4=F# G\n1 La ro- sa\nb 2=G2 D3'#"
    piece = music(
        lines,
        HEADING.replace("D minor", "G minor") + "layer v = Canto, clef C1, 1 flat\nlayer b = Basso, clef F4, 1 flat\n",
    )
    made = moved(piece, "-M2")
    assert bars(made.text)[1:4] == ["v 2=C5 4=En F", "1 La ro- sa", "b 2=F2 C3'n"]
    found = heading(piece, "-M2")
    assert "key F minor" in found
    assert "layer v = Canto, clef C1, 3 flats" in found


def test_an_octave_is_typed_where_it_changes() -> None:
    """C4, whose octave is that of the note before, a tone lower is B flat 3 (in two flats); B4 a tone higher is
    C sharp 5 (in two sharps)."""
    piece = music("| 1=X\nv 4=E4 D C D", HEADING + "layer v = Canto, clef C1\n")
    assert bars(moved(piece, "-M2").text)[1] == "v 4=D4 C B3 C4"
    piece = music("| 1=X\nv 4=B4 A G A", HEADING + "layer v = Canto, clef C1\n")
    assert bars(moved(piece, "M2").text)[1] == "v 4=C5 B4 A B"


def test_the_interval_is_spelled_with_the_fewest_accidentals() -> None:
    piece = music("| 1=X |||", HEADING.replace("D minor", "E major"))
    made = moved(piece, "A1")
    assert made.interval == Interval(1, 1) and "key F major" in made.text


@pytest.mark.parametrize(
    ("letter", "kind", "wanted"),
    [
        ("O", Letters.GUITAR, "P"),  # G minor a tone down is F minor; the chart of 1606, from memory
        ("C", Letters.GUITAR, "B"),
        ("E", Letters.GUITAR, "L"),
        ("M", Letters.GUITAR, None),  # E flat major a tone down: D flat major has no letter
        ("Q", Letters.GUITAR, None),
        ("Gm7", Letters.NAMES, "Fm7"),
        ("D/F#", Letters.NAMES, "C/E"),
        ("Eb", Letters.NAMES, "Db"),
    ],
)
def test_a_letter_moves_a_tone_down(letter: str, kind: Letters, wanted: str | None) -> None:
    assert moved_letter(letter, kind, Interval(-1, -2)) == wanted


def test_letters_move_along_where_it_is_said_what_they_name() -> None:
    piece = music("| 2=X,4:2,3:3 7,4:0,3:0\nc E M |||".replace(" |||", "") + "\n| 1=X |||")
    made = move(piece.led, replace(asked("-M2"), letters=Letters.GUITAR), "piece.intav")
    assert "c L -" in bars(made.text)
    assert [one.code.slug for one in made.diagnostics if "letter" in one.message] == ["not-carried-over"]


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [("c G F G F", "c F Eb F Eb"), ("c A G A G", "c G M G M"), ("c G D G C", "")],
    ids=["names", "guitar", "neither"],
)
def test_the_chords_tell_what_letters_name(typed: str, wanted: str) -> None:
    """G major and F major are struck: G and F by name, A and G on the guitar (a printed chart of 1606, from memory)."""
    text = f"{HEADING}\n| 4=7,5:0,4:0,3:0 8,4:2,3:1 7,5:0,3:0 8,4:2,3:1\n{typed}\n| 1=X |||\n"
    found = read_piece(SourceText.of("piece.intav", text), ())
    wish = Wish(Interval(-1, -2))
    told = asked_of(found, wish, wish.interval, None)
    assert isinstance(told, Asked)
    made = move(led(found.sounding, found.song).value, told, "piece.intav")
    assert [line for line in bars(made.text) if line.startswith("c ")] == ([wanted] if wanted else [])
    assert ("The chord letters are moved as" in made.text) == bool(wanted)
    said = [one for one in made.diagnostics if "letters" in one.message]
    assert [("--letters" in one.message, "--letters" in one.hint) for one in said] == [(False, True)] * (not wanted)


def test_a_figure_that_cannot_be_typed_is_told() -> None:
    """The raised third over D sharp, in five sharps, is F double sharp: typed with one sharp."""
    piece = music("| 1=X\nb 1=D3'#", HEADING.replace("D minor", "G minor") + "layer b = Basso, clef F4, 1 flat\n")
    made = moved(piece, "m2")
    assert bars(made.text)[1] == "b 1=D3'#"
    assert any("the figure ## is typed #" in one.message for one in made.diagnostics)


# --- strings ----------------------------------------------------------------------------------------------------


def test_the_basses_ask_for_a_scale() -> None:
    """G minor on the theorbo in G, a tone down: D flat and A flat are tuned for it, nothing else is moved (common
    practice)."""
    piece = music("| 2=8,4:2 12,4:3\n| 2=9,4:1 13,5:2\n| 1=11,4:0 |||", HEADING.replace("in A", "in G"))
    assert "diapasons 9 = Db2, 12 = Ab1" in heading(piece, "-M2")


def test_retunings_on_the_way_follow() -> None:
    piece = music("| 1=8,4:2,3:1\nretune 8 = F#2\n| 1=8,4:2,3:2 |||")
    made = moved(piece, "-M2")
    assert "retune 9 = E2" in bars(made.text)
    assert [course.pitch.name for course in (i.courses[8] for i in made.tunings.after)] == ["Eb2", "E2"]


def test_a_retuning_that_moves_nothing_is_left_out_and_told() -> None:
    piece = music("| 1=8,4:2,3:1\nretune 8 = F#2\n| 1=8,4:2,3:2 |||")
    made = moved(piece, "M2", "lute in G, 6 courses")
    assert "retune" not in made.text.partition("\n\n")[2]
    assert any("retune" in one.message for one in made.diagnostics)


def test_lengths_of_strings_go_with_their_instrument() -> None:
    piece = music("| 1=X,4:2 |||", HEADING + "strings 84 cm, 160 cm\n")
    assert "strings 84 cm, 160 cm" in heading(piece, "M2")
    assert not any(line.startswith("strings") for line in heading(piece, "M2", "archlute in G"))
    assert any("strings 84 cm" in one for one in said(piece, "M2", "archlute in G"))


def test_octave_strings_stay_on_their_course() -> None:
    piece = read(
        "longneck 1\ntitle T\ninstrument lute in G, 8 courses\nstopped 8\ncourse 8 = D2+D3\nmetre none\n\n|> 'n=8,2:0\n"
    )
    assert "course 8 = D2+D3" in heading(piece, "M2")


# --- signs ------------------------------------------------------------------------------------------------------


def test_french_signs() -> None:
    piece = music("| 4=X,4:2,3:3 8,3:1. 7,3:X 14,1:8'T\n| 1=11 |||", HEADING + 'mark T = "t" trill, after\n')
    made = moved(piece, signs="french", keep=piece)
    assert bars(made.text) == ["| 4=///a,4c,3d /a,3b. a,3l 7,1i'T", "| 1=4 |||"]
    assert "signs french" in made.text


def test_italian_signs() -> None:
    piece = read(
        "longneck 1\ntitle T\ninstrument theorbo in A\nsigns french\nmetre C\n\n| 4=///a,4c,3r 6 /a,3y a,3l |||\n"
    )
    assert bars(moved(piece, signs="italian", keep=piece).text) == ["| 4=X,4:2,3:2 13 8,3:8 7,3:X |||"]


# --- where it comes from ----------------------------------------------------------------------------------------


def test_the_text_says_where_it_comes_from() -> None:
    found = heading(music("| 1=X |||"), "-M2", "theorbo in G")
    where = "Moved from piece.intav: a major second down, from theorbo in A to theorbo in G."
    assert f"remark {where} The fingering is not the source's." in found
