"""``longneck verify``: seeded mistakes in the anthology, spoiled artefacts, options and versions, renewing."""

from __future__ import annotations

import errno
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

import jsonschema
import pytest
from lxml import html

from pipeline import __version__
from pipeline.folder.cache import Record, read_record
from pipeline.folder.cache.record import record_bytes
from pipeline.model.record import replace
from tests.cli.asked import run as asked
from tests.sample import copy_of

ROOT = Path(__file__).parent.parent.parent


PIECES = (
    "historical/04-first-notes",
    "lute/04-allemande",
    "lute/08-romanesca",
    "songs/06-aria",
    "theorbo/02-ground",
    "theorbo/09-canzonetta",
)


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pieces of the anthology and their editions, once."""
    folder = tmp_path_factory.mktemp("kept")
    (folder / ".git").mkdir()
    assert copy_of(PIECES, folder / "book") == 6
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        assert asked("build", "book", "--out", "kept")[0] == 0
    return folder


@pytest.fixture
def here(built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of both, and the current folder in it."""
    shutil.copytree(built, tmp_path / "press")
    monkeypatch.chdir(tmp_path / "press")
    return tmp_path / "press"


run = partial(asked, "verify")


def change(name: str, before: str, after: str) -> None:
    path = Path(name)
    text = path.read_text(encoding="utf-8")
    assert before in text, f"{before} stands in {name}"
    path.write_text(text.replace(before, after, 1), encoding="utf-8")


def everything(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


GROUND, ARIA = "book/theorbo/02-ground.intav", "book/songs/06-aria.intav"
ALLEMANDE, ROMANESCA = "book/lute/04-allemande.intav", "book/lute/08-romanesca.intav"


def test_all_as_kept(here: Path) -> None:
    before = everything(here)
    code, out, err = run("book", "--out", "kept")
    assert (code, err) == (0, "") and out.endswith("pieces, all unchanged.\n")
    assert everything(here) == before, "nothing is touched"


@pytest.mark.parametrize(
    ("piece", "before", "after", "said"),
    [
        (GROUND, "| 2=11,4:2,3:5 4=3:1", "| 2=11,4:2,3:5 4=3:2",
         ["Bar 2  (line 16)", "event 2, course 3  fret 1 → fret 2   sounds C4 → C#4"]),
        (GROUND, "| 2=11,4:2,3:5 4=3:1", "| 2=11,4:2,3:5 8=3:1",
         ["Bar 2  (line 16)", "event 2, rhythm sign", "crotchet → quaver", "lasts a"]),
        (GROUND, "diapasons 12 = Bb1", "diapasons 12 = B1",
         ["course 12", "Bb1 → B1   only the tuning differs: 8 stops sound different"]),
        (GROUND, "3:3 2=3:2'2iT", "3:3 2=3:2'2i", ["Bar 4  (line 18)", "course 3", "“t” → nothing"]),
        (GROUND, "tempo Campanelle", "tempo Presto", ["tempo  Campanelle → Presto"]),
        (ARIA, "v 4.=C5 8=B4 4=A4", "v 4.=C5 8=B4 4=G4",
         ["Bar 2  (line 20)", "note 3, line v", "A4 (crotchet) → G4 (crotchet)"]),
        (ARIA, "not- te_o- scu- ra", "not- te_o- cu- ra", ["note 3, line v, stanza 2  “-scu-” → “-cu-”"]),
        (ARIA, "b 2=Eb2'6 D2'#", "b 2=Eb2'6 D2'4-#", ["figures # → figures 4, then #"]),
        (ALLEMANDE, "6b,2a'V", "6b,2a", ["“#” → nothing"]),
        (ALLEMANDE, "//a!/a", "//a", ["diapason 9 (the source has diapason 8) → open"]),
        (ROMANESCA, "| 2=7,4:4,3:3 8=3:1 _3:0", "| 2=7,4:4,3:3 8=3:1 3:0", ["slur from the note before → nothing"]),
    ],
)  # fmt: skip
def test_a_seeded_mistake_is_found_in_its_words(
    here: Path, piece: str, before: str, after: str, said: list[str]
) -> None:
    change(piece, before, after)
    code, out, _ = run("book", "--out", "kept")
    assert code == 1
    assert out.startswith(f"{piece}  {piece.replace('book', 'kept/book').removesuffix('.intav')}  ")
    for words in said:
        assert words in out
    assert "1 changed, 1 of them in the music." in out
    assert out.count(".intav  kept/") == 1, "no other piece is named"


def test_a_finding_that_comes(here: Path) -> None:
    change(GROUND, "| 2=11,4:2,3:5 4=3:1", "| 2=11,4:2,3:5 4=3:1 3:1")
    code, out, _ = run(GROUND, "--out", "kept")
    assert code == 1
    assert "1 event" in out and "1 finding" in out
    assert out.index("    Bar 2 ") < out.index("1/4 too long")  # the notes near it may be read otherwise too
    assert "bar-too-long  " in out
    assert "  nothing → error: Bar 2 is 1/4 too long: the signs add up to 4/4, the metre 3/4 asks for 3/4.\n" in out


def test_a_comment_changes_no_music(here: Path) -> None:
    """The bytes differ where lines are told; the music does not."""
    change(GROUND, "\n&7r", "\n; a private remark\n&7r")
    code, out, _ = run(GROUND, "--out", "kept")
    assert code == 4
    assert "the music is unchanged" in out
    assert "different bytes, though the music is the same: " in out and "events.xml" in out
    assert "edition.musicxml" not in out


def test_the_music_alone_may_be_judged(here: Path) -> None:
    change(GROUND, "\n&7r", "\n; a private remark\n&7r")
    before = everything(here / "kept")
    said = (0, "1 piece: 1 changed, 0 of them in the music.\n", "")
    assert run(GROUND, "--out", "kept", "--music") == run(GROUND, "--out", "kept", "--music", "--accept") == said
    assert everything(here / "kept") == before
    change(ALLEMANDE, "| 8=///a,1a 3a 2a", "| 8=///a,1a 3c 2a")
    code, out, _ = run(GROUND, ALLEMANDE, "--out", "kept", "--music", "--json", "v.json")
    assert code == 1 and GROUND not in out and ALLEMANDE in out
    document = json.loads(Path("v.json").read_bytes())
    schema = json.loads((ROOT / "schemas/comparison.schema.json").read_bytes())
    jsonschema.Draft202012Validator(schema).validate(document)
    assert [(piece["same"], piece["same_music"]) for piece in document["pieces"]] == [(False, False), (False, True)]
    Path("kept/book/theorbo/02-ground/events.xml").unlink()
    assert run(GROUND, "--out", "kept", "--music")[0] == 1, "what cannot be compared is not the same"


def test_a_new_version_alone_changes_no_edition(here: Path, tmp_path: Path) -> None:
    """The same program under another number: nothing of it is in the artefacts, and the record tells of it."""
    other = tmp_path / "other"
    shutil.copytree(ROOT / "pipeline", other / "pipeline", ignore=shutil.ignore_patterns("__pycache__"))
    change(str(other / "pipeline/__init__.py"), f'__version__ = "{__version__}"', '__version__ = "9.8.7"')
    command = [sys.executable, "-m", "pipeline", "verify", ROMANESCA, "--out", "kept"]
    env = {**os.environ, "PYTHONPATH": str(other)}
    done = subprocess.run(command, env=env, capture_output=True, text=True, check=False)
    said = f"{ROMANESCA}: kept from other versions: longneck {__version__} → 9.8.7\n1 piece, all unchanged.\n"
    assert (done.returncode, done.stdout, done.stderr) == (0, said, "")


def test_readings_in_words(here: Path) -> None:
    path = "kept/book/theorbo/09-canzonetta/events.xml"
    text = Path(path).read_text(encoding="utf-8")
    begin = text.index("<restored ")
    change(path, text[begin : text.index("/>", begin) + 2], "")
    change(path, '<reading voice="1" part="upper"', '<reading voice="2" part="upper"')
    code, out, _ = run("book/theorbo/09-canzonetta.intav", "--out", "kept")
    assert code == 1
    assert "voice 2 (upper) → voice 1 (upper)" in out
    assert "meant as it sounds → meant an octave higher" in out
    assert "2 differences: 1 voice, 1 octave." in out


# --- artefacts as files ---------------------------------------------------------------------------------

FOLDER = "kept/book/lute/08-romanesca"


def _spoil(name: str, data: bytes) -> Callable[[], object]:
    return lambda: Path(f"{FOLDER}/{name}").write_bytes(data)


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda: Path(f"{FOLDER}/edition.mei").unlink(), "missing: edition.mei"),
        (_spoil("practice.mid", b"MThd"), "no longer made: practice.mid"),
        (_spoil("edition-001.svg", b"<svg/>"), "different bytes, though the music is the same: edition-001.svg"),
        (_spoil("events.xml", b"<x"), "events.xml is not well-formed XML (line 1): the bars cannot be compared"),
        (_spoil("events.xml", b""), "events.xml is not well-formed XML"),
        (_spoil("events.xml", b"\xff\xfe\x00"), "events.xml is not well-formed XML"),
        (_spoil("events.xml", b'<!DOCTYPE x [<!ENTITY a "b">]><x>&a;</x>'), "events.xml has a document type"),
        (_spoil("findings.json", b"{"), "findings.json is not a list of findings: the findings cannot be compared"),
        (lambda: Path(f"{FOLDER}/events.xml").unlink(), "events.xml is missing: the bars cannot be compared"),
        (lambda: shutil.rmtree(FOLDER), "no edition of this piece is kept"),
    ],
)
def test_spoiled_artefacts_are_told(here: Path, spoil: Callable[[], object], said: str) -> None:
    spoil()
    code, out, err = run(ROMANESCA, "--out", "kept")
    files_alone = said.startswith(("missing: ", "no longer made: ", "different bytes, though the music is the same: "))
    assert (code, err) == (4 if files_alone else 1, "") and said in out
    code, out, err = run(ROMANESCA, "--out", "kept", "--accept")
    assert (code, err) == (0, "") and out.endswith(f"{ROMANESCA}  renewed\n")
    assert run(ROMANESCA, "--out", "kept") == (0, "1 piece, all unchanged.\n", "")


def test_renewed_editions_are_those_of_a_clean_build(here: Path) -> None:
    change(GROUND, "4=3:1", "4=3:2")
    Path(f"{FOLDER}/edition.mei").unlink()
    assert run("book", "--out", "kept", "--accept")[0] == 0
    assert asked("build", "book", "--out", "clean")[0] == 0
    assert everything(here / "kept") == everything(here / "clean")


def test_a_piece_that_is_gone(here: Path) -> None:
    Path(ROMANESCA).unlink()
    code, out, _ = run("book", "--out", "kept")
    assert code == 1 and f"{FOLDER}  kept for a piece that no longer exists; --accept removes it" in out


def test_gone_pieces_of_other_folders_do_not_count(here: Path) -> None:
    Path(ROMANESCA).unlink()
    assert run(GROUND, "--out", "kept") == (0, "1 piece, all unchanged.\n", "")
    assert run("book/songs", "--out", "kept")[0] == 0
    assert run("book/lute", "--out", "kept")[0] == 1


def test_a_collection_seen_from_outside(here: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, _ = run("press/book", "--out", "press/kept")
    assert (code, out) == (0, "6 pieces, all unchanged.\n")
    assert run("press", "--out", "press/kept")[0] == 0


def test_accepting_clears_what_is_gone_and_keeps_the_options(here: Path) -> None:
    assert asked("build", ARIA, "--out", "kept", "--pdf", "--midi")[0] == 0
    Path(ROMANESCA).unlink()
    code, out, _ = run("book", "--out", "kept", "--accept")
    assert code == 0 and out.endswith(f"{FOLDER}  cleared\n")
    assert not Path(FOLDER).exists()
    assert b"romanesca" not in Path("kept/index.html").read_bytes()
    assert Path("kept/book/songs/06-aria/practice.mid").is_file()
    assert run("book", "--out", "kept") == (0, "5 pieces, all unchanged.\n", "")


def test_a_piece_that_cannot_be_built_stays_as_it_was_kept(here: Path) -> None:
    """The work is stopped by its time limit. What is good is not given up, and nothing is called renewed."""
    change(GROUND, "4=3:1", "4=3:2")
    before = everything(here / "kept")
    code, out, _ = run(GROUND, "--out", "kept", "--accept", "--time-limit", "0.01")
    assert code == 1 and "\n1 piece: 1 could not be built.\n" in out
    assert out.startswith(f"{GROUND}  kept/book/theorbo/02-ground  could not be built\n    out-of-time: The work was")
    assert out.endswith(f"{GROUND}  left as it was\n") and "renewed" not in out and "/tmp" not in out
    assert everything(here / "kept") == before
    assert asked("build", GROUND, "--out", "kept", "--time-limit", "0.01")[0] == 1
    after = everything(here / "kept")
    assert b"out-of-time" in after.pop("book/theorbo/02-ground/not-built.json")
    assert after.keys() == before.keys()
    assert {name for name in after if after[name] != before[name]} == {"index.html", "index.js"}
    assert b"Could not be built; the files are of an earlier build." in after["index.html"]
    assert asked("build", ARIA, "--out", "kept")[0] == 0
    assert b"Could not be built; the files are of an earlier build." in Path("kept/index.html").read_bytes()
    assert run(GROUND, "--out", "kept", "--accept")[0] == 0
    assert not Path("kept/book/theorbo/02-ground/not-built.json").exists()


def test_no_room_to_build_again(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk with the temporary files is full. Nothing that is kept is called missing, or too much."""

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("pipeline.folder.batch.writing.write_artefacts", full)
    code, out, _ = run(GROUND, "--out", "kept")
    assert code == 1 and "could not be built\n    cannot-write: " in out and "No space left on device" in out
    assert "not made any more" not in out and "missing" not in out


def test_a_fault_of_the_program_is_not_accepted(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object) -> object:
        raise KeyError("seventh course")

    change(GROUND, "4=3:1", "4=3:2")
    before = everything(here / "kept")
    monkeypatch.setattr("pipeline.folder.batch.guard.Workers.submit", breaks)
    code, out, err = run(GROUND, "--out", "kept", "--accept")
    assert code == 3 and "could not be built" in out and "renewed" not in out and "seventh course" in err
    assert everything(here / "kept") == before


# --- how it was built -----------------------------------------------------------------------------------


def test_the_same_options_as_it_was_built_with(here: Path) -> None:
    options = ["--transpose=-m3", "--texture", "sketch", "--midi", "--pdf", "--paper", "letter", "--no-proof"]
    assert asked("build", ROMANESCA, "--out", "kept", *options)[0] == 0
    assert asked("build", ARIA, "--out", "kept", "--range", "C4:G5", "--only", "musicxml")[0] == 0
    assert run("book", "--out", "kept")[:2] == (0, "6 pieces, all unchanged.\n")


def record_of(folder: str) -> Record:
    found = read_record(Path(f"{folder}/build.json").read_bytes())
    assert found is not None
    return found


def test_other_versions_are_said(here: Path) -> None:
    record = record_of(FOLDER)
    now = record.versions["verovio"]
    older = replace(record, versions={**record.versions, "verovio": "1.2.3"})
    Path(f"{FOLDER}/build.json").write_bytes(record_bytes(older))
    code, out, _ = run(ROMANESCA, "--out", "kept")
    assert (code, out) == (
        0,
        f"{ROMANESCA}: kept from other versions: verovio 1.2.3 → {now}\n1 piece, all unchanged.\n",
    )


def test_options_of_another_version_are_said(here: Path) -> None:
    strange = replace(record_of(FOLDER), options={"bells": "yes"})
    Path(f"{FOLDER}/build.json").write_bytes(record_bytes(strange))
    code, out, _ = run(ROMANESCA, "--out", "kept")
    assert code == 0 and "names options that this version does not know (bells)" in out


@pytest.mark.parametrize("data", [None, b"{", b"\xff", b"[]"])
def test_without_a_record_the_usual_options(here: Path, data: bytes | None) -> None:
    path = Path(f"{FOLDER}/build.json")
    path.unlink() if data is None else path.write_bytes(data)
    code, out, err = run(ROMANESCA, "--out", "kept")
    assert (code, err) == (0, "")
    assert out.startswith(f"{ROMANESCA}: ") and "built again with the usual options" in out
    assert run(ROMANESCA, "--out", "kept", "--accept")[1].endswith(f"{ROMANESCA}  renewed\n")
    assert run(ROMANESCA, "--out", "kept") == (0, "1 piece, all unchanged.\n", "")


# --- page, JSON, usage ----------------------------------------------------------------------------------


def test_page_and_json(here: Path) -> None:
    change(GROUND, "4=3:1", "4=3:2")
    Path(f"{FOLDER}/edition.mei").unlink()
    assert run("book", "--out", "kept", "--page", "v.html", "--json", "v.json")[0] == 1
    page = html.fromstring(Path("v.html").read_bytes())
    assert [head.text for head in page.xpath("//h2")] == ["Romanesca", "Passacaglia sopra quattro note"]
    assert page.xpath("//th[@scope='col']/text()") == ["Bar", "Where", "as kept", "as built now"]
    assert {"fret 1", "fret 2"} <= set(page.xpath("//td/text()"))
    document = json.loads(Path("v.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, json.loads((ROOT / "schemas/comparison.schema.json").read_text(encoding="utf-8")))
    changed = [piece for piece in document["pieces"] if not piece["same"]]
    assert [piece["files"]["missing"] for piece in changed] == [["edition.mei"], []]
    assert changed[1]["differences"][0]["message"] == "event 2, course 3: fret 1 → fret 2 (sounds C4 → C#4)"


def test_one_process_or_two(here: Path) -> None:
    change(GROUND, "4=3:1", "4=3:2")
    change(ARIA, "8=B4", "8=A4")
    assert run("book", "--out", "kept", "--jobs", "1") == run("book", "--out", "kept", "--jobs", "2")


def test_wrong_usage(here: Path) -> None:
    assert run("book", "--out", "nowhere")[0] == 2
    for option, said in (
        ("--page", "no/v.html cannot be written: there is no folder no"),
        ("--json", "kept is a folder"),
    ):
        file = said.split(" ", 1)[0]
        assert run("book", "--out", "kept", option, file) == (2, "", f"longneck: {said}\n")
    twice = ("--page", "v", "--json", "./v")
    assert run("book", "--out", "kept", *twice) == (2, "", "longneck: v is named for two outputs\n")
    assert run("no.intav", "--out", "kept") == (2, "", "longneck: there is no no.intav\n")
