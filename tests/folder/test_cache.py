"""What was built before: kept where nothing has changed, built again where anything has, believed only when whole."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.findings.codes import ALL
from pipeline.findings.document import write_findings
from pipeline.findings.recorded import NotFindingsError, read_findings
from pipeline.folder import batch
from pipeline.folder.batch import Done, build_all
from pipeline.folder.cache import RECORD, Record, program, read_record
from pipeline.folder.cache.record import record_bytes
from pipeline.folder.files import discover
from pipeline.model.artefacts import Form, is_artefact
from pipeline.model.copy import Fullness
from pipeline.model.diagnostics import Diagnostic, Related
from pipeline.model.options import Options, Part, Sheet
from pipeline.model.staves import Staves
from pipeline.model.text import Span
from tests.folder.test_batch import contents

ROOT = Path(__file__).parents[2]
PIECE = "longneck 1\ntitle Piece\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"
WARNED = PIECE.replace("4=3:2 3:3", "4=3:2 _2:3")
SONG = PIECE.replace("metre C\n", "metre C\nlayer v = Canto, clef C1, from voice.abc\n")
VOICE = "X:1\nT:Voice\nM:4/4\nL:1/4\nK:C\n{}|c4|]\n"
#: Without the engraver, which these tests do not need.
QUICK = Options(copy=False, forms=(Form.MUSICXML, Form.EVENTS))


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Three folders: two pieces under a heading, one without, one with a voice in a file."""
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for name, text in (
        ("a/heading.intav", "longneck 1\npitch 415\n"),
        ("a/1.intav", PIECE),
        ("a/2.intav", WARNED),
        ("b/3.intav", PIECE),
        ("c/4.intav", SONG),
        ("c/voice.abc", VOICE.format("c2d2")),
    ):
        Path(name).parent.mkdir(exist_ok=True)
        Path(name).write_text(text, encoding="utf-8")
    return tmp_path


def build(options: Options = QUICK) -> list[Done]:
    return list(build_all(discover([Path("a"), Path("b"), Path("c")]), Path("out"), options))


def built(options: Options = QUICK) -> list[str]:
    """The pieces that a run does not keep."""
    return [done.name for done in build(options) if not done.kept]


EVERY = ["a/1.intav", "a/2.intav", "b/3.intav", "c/4.intav"]


def test_nothing_changed_nothing_built(book: Path) -> None:
    cold = build()
    assert [done.name for done in cold if not done.kept] == EVERY
    files = contents(Path("out"))
    dates = {path: path.stat().st_mtime_ns for path in Path("out").rglob("*")}
    warm = build()
    assert all(done.kept for done in warm)
    assert contents(Path("out")) == files
    assert {path: path.stat().st_mtime_ns for path in Path("out").rglob("*")} == dates


def test_a_kept_build_repeats_all_that_was_said(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    make = batch.work.build_parcel

    def grumbling(parcel: batch.Parcel, options: Options) -> batch.Made:
        made = make(parcel, options)
        return batch.Made(made.diagnostics, made.artefacts, ("Measure 3 is crowded", "«ü»"), made.title)

    monkeypatch.setattr("pipeline.folder.batch.run.build_parcel", grumbling)
    cold = build()
    assert [len(done.diagnostics) for done in cold] == [0, 1, 0, 0]
    for one, other in zip(cold, build(), strict=True):
        assert other.kept
        assert (one.diagnostics, one.sources, one.warnings, one.title, sorted(one.written)) == (
            other.diagnostics,
            other.sources,
            other.warnings,
            other.title,
            sorted(other.written),
        )
        assert other.warnings == ("Measure 3 is crowded", "«ü»")


def edit(name: str, old: str, new: str) -> None:
    path = Path(name)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


CHANGES: list[tuple[str, Callable[[], object], list[str]]] = [
    ("a text", lambda: edit("b/3.intav", "Piece", "Other"), ["b/3.intav"]),
    ("only a comment", lambda: edit("b/3.intav", "\n\n", "\n; said\n\n"), ["b/3.intav"]),
    ("a heading", lambda: edit("a/heading.intav", "415", "392"), ["a/1.intav", "a/2.intav"]),
    ("a heading goes", lambda: Path("a/heading.intav").unlink(), ["a/1.intav", "a/2.intav"]),
    ("a heading comes", lambda: Path("b/heading.intav").write_text("longneck 1\n", encoding="utf-8"), ["b/3.intav"]),
    ("a heading above", lambda: Path("heading.intav").write_text("longneck 1\npitch 440\n", encoding="utf-8"), EVERY),
    ("a voice", lambda: Path("c/voice.abc").write_text(VOICE.format("c2e2"), encoding="utf-8"), ["c/4.intav"]),
    ("a voice goes", lambda: Path("c/voice.abc").unlink(), ["c/4.intav"]),
    ("a date", lambda: Path("b/3.intav").touch(), []),
    ("a piece comes", lambda: Path("b/5.intav").write_text(PIECE, encoding="utf-8"), ["b/5.intav"]),
]


@pytest.mark.parametrize(("change", "again"), [change[1:] for change in CHANGES], ids=[change[0] for change in CHANGES])
def test_just_what_a_change_touches_is_built_again(book: Path, change: Callable[[], object], again: list[str]) -> None:
    build()
    change()
    assert built() == again
    assert built() == []
    files = contents(Path("out"))
    list(build_all(discover([Path("a"), Path("b"), Path("c")]), Path("clean"), QUICK))
    assert files == contents(Path("clean"))


OTHER_OPTIONS = [
    Options(copy=True, forms=QUICK.forms),
    Options(copy=False, forms=(Form.MUSICXML,)),
    Options(copy=False, forms=(*QUICK.forms, Form.MIDI)),
    Options(copy=False, forms=QUICK.forms, fullness=Fullness.SKETCH),
    Options(copy=False, forms=QUICK.forms, paper=Sheet.LETTER),
    Options(copy=False, forms=QUICK.forms, staves=Staves.SOURCE),
    Options(copy=False, forms=QUICK.forms, part=Part.FRENCH),
]


@pytest.mark.parametrize("options", OTHER_OPTIONS)
def test_other_options_build_again(book: Path, options: Options) -> None:
    build()
    assert built(options) == EVERY
    assert built(options) == []


def test_another_program_builds_again(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build()
    monkeypatch.setattr("pipeline.folder.batch.run.program_hash", lambda: "another")
    assert built() == EVERY


DAMAGE: list[tuple[str, Callable[[Path], object]]] = [
    ("gone", lambda folder: (folder / "edition.musicxml").unlink()),
    ("one byte", lambda folder: (folder / "events.xml").write_bytes((folder / "events.xml").read_bytes()[:-1] + b" ")),
    ("half", lambda folder: (folder / "edition.musicxml").write_bytes(b"<?xml")),
    ("a folder", lambda folder: ((folder / "edition.musicxml").unlink(), (folder / "edition.musicxml").mkdir())),
    ("findings gone", lambda folder: (folder / "findings.json").unlink()),
    ("one too many", lambda folder: (folder / "edition-007.svg").write_bytes(b"<svg/>")),
    ("record gone", lambda folder: (folder / RECORD).unlink()),
    ("record empty", lambda folder: (folder / RECORD).write_bytes(b"")),
    ("record of noise", lambda folder: (folder / RECORD).write_bytes(bytes(range(256)))),
    ("record too deep", lambda folder: (folder / RECORD).write_bytes(b"[" * 100_000)),
    ("record of another piece", lambda folder: (folder / RECORD).write_bytes(Path("out/b/3", RECORD).read_bytes())),
    ("record of a later form", lambda folder: edit(str(folder / RECORD), '"form": 1', '"form": 2')),
    ("record altered", lambda folder: edit(str(folder / RECORD), '"title": "Piece"', '"title": "Peace"')),
]


@pytest.mark.parametrize("damage", [damage[1] for damage in DAMAGE], ids=[damage[0] for damage in DAMAGE])
def test_whatever_is_damaged_is_built_again(book: Path, damage: Callable[[Path], object]) -> None:
    build()
    whole = contents(Path("out"))
    damage(Path("out/a/1"))
    if Path("out/a/1/edition.musicxml").is_dir():
        (done, *_) = build()
        assert [finding.code.slug for finding in done.diagnostics] == ["cannot-write"]
        return
    assert built() == ["a/1.intav"]
    assert contents(Path("out")) == whole


def test_folders_can_be_moved(book: Path) -> None:
    build()
    Path("out").rename("elsewhere")
    done = list(build_all(discover([Path("a"), Path("b"), Path("c")]), Path("elsewhere"), QUICK))
    assert all(one.kept for one in done)


def test_files_that_no_build_made_are_left_alone(book: Path) -> None:
    build()
    Path("out/a/1/my notes.txt").write_text("mine", encoding="utf-8")
    assert built() == []
    edit("a/1.intav", "Piece", "Other")
    build()
    assert Path("out/a/1/my notes.txt").read_text(encoding="utf-8") == "mine"


def test_a_fault_is_not_kept(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object, **__: object) -> None:
        raise KeyError("seventh course")

    with monkeypatch.context() as patched:
        patched.setattr("pipeline.piece.write_events", breaks)
        assert all(done.fault for done in build())
    assert built() == EVERY


# --- the files themselves ----------------------------------------------------------------------------------


def test_every_artefact_is_known_by_its_name(book: Path) -> None:
    full = Options(forms=tuple(Form), part=Part.SOURCE)
    names = [path.name for done in build(full) for path in done.written]
    assert len(set(names)) >= 11
    assert [name for name in names if not is_artefact(name)] == []


RECORDED = Record("a/1.intav", "0" * 64, {"voice.abc": "1" * 64}, {"edition.mei": "2" * 64}, "Tît\ud800le", ("said",))


def test_a_record_is_read_as_it_was_written() -> None:
    assert read_record(record_bytes(RECORDED)) == RECORDED


@given(st.integers(min_value=0), st.integers(0, 255))
def test_a_record_with_any_byte_changed_is_none(place: int, byte: int) -> None:
    data = bytearray(record_bytes(RECORDED))
    place %= len(data)
    if data[place] == byte:
        return
    data[place] = byte
    assert read_record(bytes(data)) is None


@given(st.binary())
def test_no_bytes_break_the_readers(data: bytes) -> None:
    read_record(data)
    with pytest.raises(NotFindingsError):
        read_findings(data)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text() | st.sampled_from(["form", "findings", "seal"]), inner),
)


@given(JSON)
def test_no_json_breaks_the_readers(document: object) -> None:
    data = json.dumps(document).encode()
    assert read_record(data) is None
    with pytest.raises(NotFindingsError):
        read_findings(data)


def test_a_record_cannot_name_files_elsewhere() -> None:
    for name in ("../../secret", "/etc/passwd", "notes.txt", "build.json"):
        assert read_record(record_bytes(Record("p", "", {}, {name: ""}))) is None


SPANS = st.builds(Span, st.text(st.characters(exclude_categories=["Cs"])), *[st.integers(0, 9999)] * 3)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]))
FINDINGS = st.builds(
    Diagnostic,
    st.sampled_from(list(ALL.values())),
    SPANS,
    TEXTS,
    TEXTS,
    st.lists(st.builds(Related, SPANS, TEXTS)).map(tuple),
    TEXTS,
)


@given(st.lists(FINDINGS))
def test_findings_are_read_as_they_were_written(found: list[Diagnostic]) -> None:
    """Every field of a finding comes back: a field that the JSON does not hold would be lost in a kept build."""
    data = write_findings("piece.intav", found)
    assert sorted(map(repr, read_findings(data))) == sorted(map(repr, found))
    assert write_findings("piece.intav", read_findings(data)) == data


# --- the program and its speed -----------------------------------------------------------------------------


def test_any_change_of_the_program_changes_its_hash(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "inner" / "__pycache__").mkdir(parents=True)
    (tmp_path / "__init__.py").write_text("", encoding="utf-8")
    (tmp_path / "inner" / "weights.npz").write_bytes(b"1")
    monkeypatch.setattr(program.pipeline, "__file__", str(tmp_path / "__init__.py"))
    seen = {program.program_hash.__wrapped__()}
    (tmp_path / "inner" / "__pycache__" / "a.pyc").write_bytes(b"")
    assert program.program_hash.__wrapped__() in seen
    for change in (
        lambda: (tmp_path / "inner" / "weights.npz").write_bytes(b"2"),
        lambda: (tmp_path / "inner" / "weights.npz").rename(tmp_path / "weights.npz"),
        lambda: (tmp_path / "new.py").write_text("", encoding="utf-8"),
        lambda: monkeypatch.setattr(program, "version", lambda library: "9"),
    ):
        change()
        now = program.program_hash.__wrapped__()
        assert now not in seen
        seen.add(now)


def test_a_run_with_nothing_to_do_loads_nothing_heavy(book: Path) -> None:
    """Nor does it read any music: the warnings and notes of the pieces come from their stored findings."""
    code = """
import sys
sys.argv = ["longneck", "build", "a", "b", "--no-copy", "--only", "musicxml"]
from pipeline.cli import main
try:
    main()
finally:
    heavy = {"verovio", "music21", "numpy", "reportlab", "multiprocessing"}
    rooms = ("source.parse", "edition", "writers.engrave", "piece")
    reading = tuple(f"pipeline.{room}" for room in rooms)
    loaded = {name.partition(".")[0] for name in sys.modules} & heavy
    print(sorted(loaded | {name for name in sys.modules if name.startswith(reading)}))
"""
    outputs = [
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={"PYTHONPATH": str(ROOT)}
        ).stdout
        for _ in range(2)
    ]
    assert outputs[0] == outputs[1]
    assert "slur-leaves-course" in outputs[1]
    assert outputs[1].splitlines()[-1] == "[]"
