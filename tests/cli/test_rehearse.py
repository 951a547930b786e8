"""``longneck rehearse``: folders, what is replaced and what is not, refusals, exit codes."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path

import pytest

from tests.cli.asked import run as asked
from tests.cli.asked import write

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nkey D minor\n"
SOLO = f"{HEADING}\n| 1=X,4:2,3:3,2:1 |||\n"
SONG = f"{HEADING}layer v = Canto, clef C1, 1 flat\n\n| 1=X,4:2,3:3,2:1 |||\nv 1=D5\n1 O\n"
run = partial(asked, "rehearse")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)


def files(folder: str) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in Path(folder).rglob("*") if path.is_file()}


def test_a_folder_for_each_person_and_a_cover() -> None:
    write("song.intav", SONG)
    code, out, err = run("song.intav", "--transpose=-M2", "--signs", "french")
    assert (code, out, err) == (0, "Sets in rehearsal/. 1 piece: nothing to report.\n", "")
    assert files("rehearsal/song") == {
        "cover.html",
        "cover.pdf",
        "singer/practice.mid",
        *(f"{folder}/{score}{end}" for folder, score in
          (("singer", "reduction"), ("player", "part"), ("bass", "bass"))
          for end in ("-001.svg", ".pdf", ".musicxml")),
    }  # fmt: skip
    cover = Path("rehearsal/song/cover.html").read_text(encoding="utf-8")
    for said in ("C minor, a major second down (source: D minor)", "French letters (source: Italian figures)"):
        assert cover.count(said) == 1
    links = re.findall(r'<a href="([^"]+)"', cover)
    assert links == ["singer/reduction.pdf", "singer/practice.mid", "player/part.pdf", "bass/bass.pdf"]
    assert files("rehearsal/song") >= set(links)


def test_an_earlier_set_is_replaced_and_nothing_else_is_touched() -> None:
    write("song.intav", SONG)
    assert run("song.intav")[0] == 0
    mine = [
        write("rehearsal/song/notes.txt", "breathe"),
        write("rehearsal/song/singer/marks.txt", "breathe"),
        write("rehearsal/song/edition-001.svg", "<svg/>"),
    ]
    old = [write("rehearsal/song/player/part-002.svg", "<svg/>"), write("rehearsal/song/bass/bass-002.svg", "<svg/>")]
    before = Path("rehearsal/song/cover.html").read_bytes()
    assert run("song.intav", "--instrument", "archlute in G")[0] == 0
    assert all(path.exists() for path in mine) and not any(path.exists() for path in old)
    assert Path("rehearsal/song/cover.html").read_bytes() != before


def test_a_song_that_lost_its_voice_leaves_no_singer_s_copy() -> None:
    write("song.intav", SONG)
    assert run("song.intav")[0] == 0
    write("song.intav", SOLO)
    assert run("song.intav")[0] == 0
    assert {name.partition("/")[0] for name in files("rehearsal/song")} == {
        "keyboard", "player", "bass", "cover.html", "cover.pdf",
    }  # fmt: skip


def test_a_piece_with_errors_keeps_its_earlier_set_and_the_others_are_done() -> None:
    write("book/bad.intav", SOLO)
    write("book/good.intav", SONG)
    assert run("book")[0] == 0
    before = Path("rehearsal/book/bad/player/part.pdf").read_bytes()
    write("book/bad.intav", SOLO.replace("3:3", "3:33"))
    code, out, _ = run("book", "--transpose", "M2")
    assert code == 1
    assert "set-not-made  No set for the rehearsal was made: the piece has 1 error." in out
    assert Path("rehearsal/book/bad/player/part.pdf").read_bytes() == before
    assert "E minor" in Path("rehearsal/book/good/cover.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--instrument", "lute"), "--instrument: no tuning is known for “lute”"),
        (("--transpose", "x"), "--transpose: Expected an interval, not “x”"),
        (("--range", "C4:G5", "--transpose", "M2"), "--transpose and --range both say where the piece goes"),
        (("--keep", "none.intav"), "--keep: there is no none.intav"),
        (("--out", "song.intav"), "--out song.intav is a file, not a folder"),
    ],
)
def test_what_cannot_be_meant_is_refused(options: tuple[str, ...], said: str) -> None:
    write("song.intav", SONG)
    code, out, err = run("song.intav", *options)
    assert (code, out) == (2, "")
    assert err.startswith(f"longneck: {said}")
    assert not Path("rehearsal").exists()


def test_an_instrument_whose_tuning_nobody_knows() -> None:
    """The source names one that no list has: the piece has an error, so nobody gets a wrong part."""
    write("song.intav", SOLO.replace("theorbo in A", "bandora in Q"))
    code, out, _ = run("song.intav", "--transpose", "M2")
    assert code == 1 and "set-not-made" in out
    assert not Path("rehearsal/song").exists()


def test_the_player_s_own_places() -> None:
    """A text by refinger, changed by the player: G3 C4 on the first two courses."""
    write("song.intav", SOLO)
    assert asked("refinger", "song.intav", "--transpose=-M2", "--out", "lower")[0] == 0
    text = Path("lower/song.intav").read_text(encoding="utf-8")
    head, _, _ = text.partition("\n\n")
    write("lower/song.intav", f"{head}\n\n| 1=11,5:1,2:3,1:3 |||\n")
    assert run("song.intav", "--transpose=-M2", "--keep", "lower/song.intav")[0] == 0
    part = Path("rehearsal/song/player/part.musicxml").read_text(encoding="utf-8")
    assert re.findall(r"<string>(\d+)</string><fret>(\d+)</fret>", part) == [
        ("11", "0"), ("5", "1"), ("2", "3"), ("1", "3"),
    ]  # fmt: skip


def test_sets_do_not_lie_in_each_other() -> None:
    write("song.intav", SOLO)
    write("song/singer.intav", SOLO)
    code, out, _ = run("song.intav", "song")
    assert code == 1
    assert "rehearsal/song/singer belongs to the set of song.intav" in out


def test_work_that_takes_too_long_is_stopped() -> None:
    """In both commands that move tablature: a guarded process ends it."""
    write("song.intav", SOLO)
    code, out, _ = run("song.intav", "--time-limit", "0.001")
    assert code == 1 and "out-of-time" in out
    assert not Path("rehearsal/song").exists()
    code, out, _ = asked("refinger", "song.intav", "--signs", "french", "--out", "new", "--time-limit", "0.001")
    assert code == 1 and "out-of-time" in out
    assert not Path("new").exists()
