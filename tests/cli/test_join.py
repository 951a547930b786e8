"""One run in shares: whatever the number of jobs, joined they are one run, byte for byte."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.asked import run, write
from tests.folder.test_batch import contents

HEADING = "longneck 1\ninstrument theorbo in A\nmetre C\nnonsense x\n"
PIECE = "longneck 1\ntitle {}\n\n| 1={}\n| 1=7,4:0,3:0 |||\n"
REPORTS = ("json", "sarif", "junit", "github", "markdown")
QUICK = ("--no-copy", "--only", "proof", "--only", "mei")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A collection with clean and faulty pieces, a heading with an error of its own, a piece that cannot be built, and
    known findings, one of which occurs no more."""
    (tmp_path / "book" / ".git").mkdir(parents=True)
    monkeypatch.chdir(tmp_path)
    write("book/heading.intav", HEADING)
    for number in range(12):
        sounds = ("7,4:0,3:0", "8:1,4:2", "7,4:0 2=3:1")[number % 3]
        write(f"book/{'ab'[number % 2]}/{number:02d} é.intav", PIECE.format(number, sounds))
    write("book/bad.intav", b"longneck 1\n\xff\n")
    code, _, _ = run("check", "book", "--baseline", "known.json", "--write-baseline")
    assert code in (0, 1)
    known = Path("known.json").read_text(encoding="utf-8")
    write("known.json", known.replace("8:1,4:2", "8:1,4:3", 1))
    return tmp_path


def reports(name: str) -> list[str]:
    return [part for form in REPORTS for part in ("--report", f"{form}={name}.{form}")]


def one_run() -> tuple[int, str, str]:
    return run("build", "book", "--out", "one", *QUICK, *reports("one"), "--baseline", "known.json")


def share(number: int, of: int, out: str, *options: str) -> int:
    return run("build", "book", "--out", out, *(options or QUICK), "--shard", f"{number}/{of}")[0]


def same_reports(one: str, two: str) -> bool:
    return all(Path(f"{one}.{form}").read_bytes() == Path(f"{two}.{form}").read_bytes() for form in REPORTS)


@pytest.mark.parametrize("of", [1, 3, 40])
def test_shares_joined_are_one_run_byte_for_byte(here: Path, of: int) -> None:
    code, out, err = one_run()
    assert code == 1 and "error" in out and "no longer occurs" in err
    places = [f"share{number}" for number in range(1, of + 1)]
    for number, place in enumerate(places, start=1):
        assert share(number, of, place) in (0, 1)
        assert not Path(place, "index.html").exists()
    built = [path.parent.relative_to(place) for place in places for path in Path(place).rglob("findings.json")]
    assert len(built) == len(set(built)) == 13  # each by one job
    shuffled = [*places[1:], places[0]]
    joined = run("join", *shuffled, "--out", "two", *reports("two"), "--baseline", "known.json")
    assert joined == (code, out.replace("Built into one/", "Joined into two/"), err)
    assert contents(Path("two")) == contents(Path("one"))
    assert same_reports("one", "two")


def test_shares_in_one_folder_are_joined_where_they_lie(here: Path) -> None:
    code, out, err = one_run()
    for number in (2, 1):
        share(number, 2, "two")
    joined = run("join", "two", "--out", "two", *reports("two"), "--baseline", "known.json")
    assert joined == (code, out.replace("Built into one/", "Joined into two/"), err) and same_reports("one", "two")
    after = contents(Path("two"))
    for number in (1, 2):
        assert after.pop(f"share-{number}-of-2.jsonl")
    assert after == contents(Path("one"))
    again = run("build", "book", "--out", "two", *QUICK)[1]
    assert "not-worked-on" not in again and not Path("two/bad/not-built.json").exists()


def test_a_new_piece_moves_no_other_to_another_job(here: Path) -> None:
    share(1, 2, "before")
    write("book/a/000.intav", PIECE.format("New", "7,4:0,3:0"))
    share(1, 2, "after")
    assert set(contents(Path("before"))) - set(contents(Path("after"))) == set()


def test_what_is_not_one_run_is_refused(here: Path) -> None:
    share(1, 2, "a"), share(2, 2, "b"), share(1, 3, "c"), share(2, 2, "d", "--only", "mei")
    assert said("a") == "share 2 of 2 is missing"
    assert said("a", "b", "b") == "share 2 of 2 is there twice"
    assert said("a", "c").endswith("are no shares of one run: they are of different numbers of shares")
    assert said("a", "d").endswith("are no shares of one run: they were built with different options")
    assert said("book") == "there is no record of a share in book"
    assert said("nowhere") == "nowhere cannot be read: No such file or directory"
    write("book/c.intav", PIECE.format("More", "7"))
    share(2, 2, "e")
    assert said("a", "e").endswith("are no shares of one run: they are of different numbers of pieces")
    record = Path("b/share-2-of-2.jsonl")
    for bad in (record.read_bytes()[:-90], record.read_bytes().replace(b"Piece", b"piece", 1) + b" ", b"", b"\xff\n"):
        record.write_bytes(bad)
        assert said("a", "b").endswith("is not the record of a share, or not whole: build that share again")


def said(*folders: str) -> str:
    code, out, err = run("join", *folders, "--out", "joined")
    assert (code, out) == (2, "") and not Path("joined").exists()
    return re.sub(r"^longneck: |\n$", "", err)


def test_a_record_of_another_number_of_shares_makes_way(here: Path) -> None:
    """A job that takes its folder from an earlier run, which had more shares, hands on one record."""
    share(1, 3, "kept")
    share(1, 2, "kept")
    share(2, 2, "kept")
    assert sorted(path.name for path in Path("kept").glob("share-*")) == ["share-1-of-2.jsonl", "share-2-of-2.jsonl"]


@pytest.mark.parametrize("text", ["0/2", "3/2", "2", "1/0", "a/b", "1/2/3", "-1/2"])
def test_shares_that_make_no_sense(here: Path, text: str) -> None:
    code, _, err = run("build", "book", f"--shard={text}")
    assert code == 2 and err == f"longneck: --shard {text}: it is one of a number of shares, as 1/4 to 4/4\n"
