"""``longneck refinger``: what it writes, keeps, refuses; exit codes."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from tests.cli.asked import run as asked
from tests.cli.asked import write

PIECE = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nkey D minor\n\n| 1=X,4:2,3:3,2:1 |||\n"
run = partial(asked, "refinger")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)


def test_a_text_of_its_own_that_checks_clean() -> None:
    write("song.intav", PIECE)
    code, out, err = run("song.intav", "--transpose=-M2", "--out", "lower")
    assert (code, err) == (0, "")
    assert out == "lower/song.intav  written\n"
    assert Path("lower/song.intav").read_text(encoding="utf-8").splitlines() == [
        "longneck 1",
        "title Trial",
        "instrument theorbo in A",
        "signs italian",
        "metre C",
        "key C minor",
        "remark Moved from song.intav: a major second down. The fingering is not the source's.",
        "",
        "| 1=11,5:1,4:0,3:1 |||",
    ]
    assert asked("check", "lower") == (0, "1 piece: nothing to report.\n", "")
    assert asked("compare", "--sound", "song.intav", "lower/song.intav") == (
        0,
        "song.intav → lower/song.intav\n    The same music, a major second down.\n",
        "",
    )
    assert Path("song.intav").read_text(encoding="utf-8") == PIECE


def test_the_same_again_changes_nothing_and_another_text_is_not_replaced() -> None:
    write("song.intav", PIECE)
    assert run("song.intav", "--transpose=-M2", "--out", "lower")[0] == 0
    assert run("song.intav", "--transpose=-M2", "--out", "lower")[0] == 0
    code, out, err = run("song.intav", "--transpose=M2", "--out", "lower")
    assert (code, out) == (1, "")
    assert err == "longneck: lower/song.intav holds another text; --replace replaces it, --keep takes its places\n"
    assert "C minor" in Path("lower/song.intav").read_text(encoding="utf-8")
    assert run("song.intav", "--transpose=M2", "--out", "lower", "--replace")[0] == 0
    assert "E minor" in Path("lower/song.intav").read_text(encoding="utf-8")


def test_the_player_s_places_are_kept_where_they_sound_right() -> None:
    """The player takes G3 C4 on the first two courses; then the second bar of the piece itself is corrected."""
    write("song.intav", PIECE.replace("|||", "\n| 1=7,4:0,3:0 |||"))
    assert run("song.intav", "--transpose=-M2", "--out", "lower")[0] == 0
    text = Path("lower/song.intav").read_text(encoding="utf-8")
    head, _, body = text.partition("\n\n")
    mine = "| 1=11,5:1,2:3,1:3"
    assert body.splitlines()[0] != mine
    write("mine.intav", f"{head}\n\n{mine}\n{body.splitlines()[1]}\n")
    write("song.intav", PIECE.replace("|||", "\n| 1=7,4:0,3:3 |||"))
    assert run("song.intav", "--transpose=-M2", "--out", "lower", "--keep", "mine.intav", "--replace")[0] == 0
    again = Path("lower/song.intav").read_text(encoding="utf-8").partition("\n\n")[2].splitlines()
    assert again[0] == mine
    assert again[1] != body.splitlines()[1]


def test_headings_of_folders_are_carried_where_they_are_not_inherited() -> None:
    write("heading.intav", "longneck 1\ncomposer Anonymous\n")
    write("book/heading.intav", "longneck 1\ninstrument theorbo in A\npitch 415\n")
    write("book/song.intav", "longneck 1\ntitle Trial\nmetre C\n\n| 1=X,4:2 |||\n")
    assert run("book", "--instrument", "archlute in G", "--out", "new")[0] == 0
    found = Path("new/book/song.intav").read_text(encoding="utf-8")
    assert "instrument archlute in G" in found and "pitch 415" in found
    assert "composer" not in found
    assert asked("check", "new")[0] == 0


def test_a_piece_with_errors_is_refused_and_the_others_are_done() -> None:
    write("bad.intav", PIECE.replace("3:3", "3:33"))
    write("good.intav", PIECE)
    code, out, err = run(".", "--transpose", "M2", "--out", "new")
    assert code == 1
    assert "bad.intav:7:" in out and out.endswith("new/good.intav  written\n")
    assert err == "bad.intav: 1 error; correct the piece first\n"
    assert not Path("new/bad.intav").exists()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "say what to change: --transpose, --range, --instrument or --signs"),
        (("--range", "C4"), "--range: Expected the range of a voice, not “C4”"),
        (("--range", "C4:G5", "--transpose", "M2"), "--transpose and --range both say where the piece goes"),
        (("--transpose", "x"), "--transpose: Expected an interval, not “x”"),
        (("--instrument", "theorbo"), "--instrument: no tuning is known for “theorbo”; perhaps theorbo in A"),
        (("--signs", "french", "--keep", "none.intav"), "--keep: there is no none.intav"),
    ],
)
def test_what_cannot_be_meant_is_refused(options: tuple[str, ...], said: str) -> None:
    write("song.intav", PIECE)
    code, out, err = run("song.intav", "--out", "new", *options)
    assert (code, out) == (2, "")
    assert err.startswith(f"longneck: {said}")
    assert not Path("new").exists()


def test_keep_goes_with_one_piece() -> None:
    write("one.intav", PIECE)
    write("two.intav", PIECE)
    code, _, err = run(".", "--out", "new", "--transpose", "M2", "--keep", "one.intav")
    assert (code, err) == (2, "longneck: --keep goes with one piece\n")


def test_images_and_voices_are_found_from_there() -> None:
    write("book/images/1r.png", b"")
    write("book/song.intav", PIECE.replace("metre C", "facsimile 1r = images/1r.png\nmetre C"))
    assert run("book/song.intav", "--transpose", "M2", "--out", "new")[0] == 0
    assert "facsimile 1r = ../../book/images/1r.png" in Path("new/book/song.intav").read_text(encoding="utf-8")


def test_to_where_it_suits_a_voice() -> None:
    """D5 to F5 in D minor, for a voice from C4 to C5: of the moves that centre it, nine or ten semitones down, the one
    to E minor has the fewest accidentals."""
    write("song.intav", PIECE.replace("|||", "|||\nv 2=D5 F5").replace("key", "layer v = Canto, clef C1, 1 flat\nkey"))
    assert run("song.intav", "--range", "C4:C5", "--out", "new")[0] == 0
    text = Path("new/song.intav").read_text(encoding="utf-8")
    assert "key E minor" in text and "\nv 2=E4 G4\n" in text


def test_what_suits_no_voice_is_not_written() -> None:
    write("song.intav", PIECE)
    code, out, _ = run("song.intav", "--range", "C4:C5", "--out", "new")
    assert code == 1 and "range-too-narrow" in out and "No line of the piece is sung." in out
    assert not Path("new").exists()


def test_a_text_that_cannot_be_kept() -> None:
    write("song.intav", PIECE)
    write("lute.intav", PIECE.replace("theorbo in A", "lute in G, 10 courses"))
    write("bad.intav", PIECE.replace("3:3", "3:33"))
    asked = ("song.intav", "--transpose", "M2", "--out", "new", "--keep")
    said = "longneck: --keep: lute.intav is for lute in G, 10 courses, not for theorbo in A\n"
    assert run(*asked, "lute.intav") == (1, "", said)
    assert run(*asked, "bad.intav") == (1, "", "longneck: --keep: bad.intav has errors; longneck check shows them\n")
    assert not Path("new").exists()
