"""``longneck build`` over folders: what is kept, made, cleared, and who does the work."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import html

from pipeline.folder.files import RawFile, sole_writer
from tests.cli.asked import passes, run, write

PIECE = "longneck 1\ntitle Piece\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for name in ("a/1", "a/2", "b/3"):
        Path(name).parent.mkdir(exist_ok=True)
        Path(f"{name}.intav").write_text(PIECE, encoding="utf-8")
    return tmp_path


def names(folder: str) -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


# --- forms -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "made"),
    [
        (["--only", "musicxml"], ["edition.musicxml", "reduction.musicxml"]),
        (["--only", "musicxml", "--no-copy"], ["edition.musicxml"]),
        (["--only", "mei", "--only", "events", "--no-copy"], ["edition.mei", "events.xml"]),
        (["--only", "svg", "--no-copy"], ["edition-001.svg"]),
        (["--only", "pdf", "--no-copy"], ["edition.pdf"]),
        (["--only", "svg", "--no-copy", "--part", "source"], ["edition-001.svg", "part-001.svg"]),
        (["--only", "musicxml", "--no-copy", "--part", "french"], ["edition.musicxml", "part.musicxml"]),
        (["--only", "midi"], ["practice.mid"]),
        (["--only", "events", "--midi"], ["events.xml", "practice.mid"]),
    ],
)
def test_only_the_forms_that_are_asked_for(here: Path, options: list[str], made: list[str]) -> None:
    assert passes("build", "a/1.intav", *options)
    assert names("out/a/1") == sorted([*made, "build.json", "findings.json"])


def test_what_is_made_alone_is_what_is_made_among_others(here: Path) -> None:
    run("build", "a/1.intav", "--out", "whole", "--pdf", "--midi")
    run("build", "a/1.intav", "--out", "few", "--only", "musicxml", "--only", "pdf", "--only", "midi")
    for name in ("edition.musicxml", "reduction.musicxml", "edition.pdf", "reduction.pdf", "practice.mid"):
        assert Path("few/a/1", name).read_bytes() == Path("whole/a/1", name).read_bytes()


def test_forms_of_an_earlier_build_do_not_stay_behind(here: Path) -> None:
    run("build", "a/1.intav")
    run("build", "a/1.intav", "--only", "musicxml")
    assert names("out/a/1") == ["build.json", "edition.musicxml", "findings.json", "reduction.musicxml"]


def test_staves_that_are_asked_for_and_kept_for_the_next_build(here: Path) -> None:
    """``verify`` builds with the same again; what sounds, and every finding, does not depend on it."""
    run("build", "a/1.intav", "--no-copy")
    usual = {name: Path("out/a/1", name).read_bytes() for name in ("events.xml", "findings.json", "edition.mei")}
    assert run("build", "a/1.intav", "--no-copy", "--staves", "tablature")[0] == 0
    assert b"<chord" not in Path("out/a/1/edition.mei").read_bytes()
    assert all(Path("out/a/1", name).read_bytes() == usual[name] for name in ("events.xml", "findings.json"))
    assert run("verify", "a/1.intav")[0] == 0
    assert run("build", "a/1.intav", "--no-copy")[0] == 0
    assert Path("out/a/1/edition.mei").read_bytes() == usual["edition.mei"]


def test_staves_that_are_none(here: Path) -> None:
    code, _, err = run("build", "a/1.intav", "--staves", "guitar")
    assert code == 2 and "guitar" in err


def test_a_form_that_is_none(here: Path) -> None:
    code, _, err = run("build", "a/1.intav", "--only", "docx")
    assert code == 2 and "docx" in err


def test_musicxml_alone_needs_no_engraver(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from pipeline.folder.batch import build_all  # noqa: PLC0415
    from pipeline.folder.files import discover  # noqa: PLC0415
    from pipeline.model.artefacts import Form  # noqa: PLC0415
    from pipeline.model.options import Options  # noqa: PLC0415

    def engraves(*_: object, **__: object) -> None:
        raise AssertionError("the engraver was called")

    monkeypatch.setattr("pipeline.piece.typeset", engraves)
    done = list(build_all(discover([Path("a")]), Path("out"), Options(forms=(Form.MUSICXML, Form.EVENTS, Form.MEI))))
    assert [one.fault for one in done] == ["", ""]


@pytest.mark.parametrize("height", ["3.9", "9.1", "high"])
def test_staves_that_nobody_could_read_or_print_are_refused(here: Path, height: str) -> None:
    assert run("build", "a/1.intav", "--staff-height", height)[0] == 2
    assert not Path("out").exists()


def test_the_height_of_staves_is_kept_with_the_edition(here: Path) -> None:
    assert passes("build", "a/1.intav", "--staff-height", "5.5", "--only", "svg")
    assert '"staff_height": "5.5"' in Path("out/a/1/build.json").read_text()


# --- pieces that are gone ----------------------------------------------------------------------------------


def test_editions_of_removed_pieces_stay_until_asked(here: Path) -> None:
    run("build", "a", "b", "--only", "musicxml")
    Path("a/2.intav").unlink()
    assert passes("build", "a", "--only", "musicxml")
    assert names("out/a") == ["1", "2"]
    assert run("build", "a", "--only", "musicxml", "--clear-removed") == (
        0,
        "out/a/2  cleared\nBuilt into out/. 1 piece: nothing to report.\n",
        "",
    )
    assert names("out/a") == ["1"]
    assert names("out") == ["a", "b"], "b was not built now, but still exists"


def test_clearing_leaves_what_no_build_made(here: Path) -> None:
    run("build", "a", "b", "--only", "musicxml")
    Path("out/b/3/notes.txt").write_text("mine", encoding="utf-8")
    Path("out/mine").mkdir()
    Path("out/mine/edition.musicxml").write_text("mine", encoding="utf-8")
    Path("b/3.intav").unlink()
    code, out, _ = run("build", "a", "--only", "musicxml", "--clear-removed")
    assert (code, out) == (0, "out/b/3  cleared\nBuilt into out/. 2 pieces: nothing to report.\n")
    assert names("out/b/3") == ["notes.txt"]
    assert names("out/mine") == ["edition.musicxml"]


def test_clearing_from_another_folder_keeps_what_exists(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("build", "a", "b", "--only", "musicxml")
    monkeypatch.chdir("a")
    assert passes("build", ".", "--out", "../out", "--only", "musicxml", "--clear-removed")
    Path("../b/3.intav").unlink()
    code, out, _ = run("build", ".", "--out", "../out", "--only", "musicxml", "--clear-removed")
    assert (code, out) == (0, "../out/b/3  cleared\nBuilt into ../out/. 2 pieces: nothing to report.\n")
    assert not Path("../out/b").exists()


# --- links -------------------------------------------------------------------------------------------------


def test_outputs_do_not_follow_a_link_out_of_their_folder(here: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    Path("out").mkdir()
    Path("out/a").symlink_to(elsewhere)
    code, out, _ = run("build", "a/1.intav", "--only", "musicxml")
    assert code == 1 and "error cannot-write  out/a/1 cannot be written: a link leads out of the folder" in out
    assert list(elsewhere.iterdir()) == []


# --- who does the work -------------------------------------------------------------------------------------


def test_limits_and_clusters_that_make_no_sense(here: Path) -> None:
    assert run("build", "a", "--memory-limit", "10") == (
        2,
        "",
        "longneck: --memory-limit: the program itself needs 500 MB\n",
    )
    code, _, err = run("build", "a", "--cluster", "nonsense://x")
    assert code == 2 and err.startswith("longneck: --cluster: ")
    assert run("build", "a", "--jobs", "-1")[0] == 2


def test_a_limit_that_a_piece_meets(here: Path) -> None:
    code, out, err = run("check", "a/1.intav", "--time-limit", "0.0005")
    assert (code, err) == (1, "")
    assert out.startswith("a/1.intav:1:1  error out-of-time  The work was stopped: it took longer than 0.0005 seconds.")
    assert "--time-limit" in out


def test_a_build_says_that_it_waits_for_another(here: Path) -> None:
    import threading  # noqa: PLC0415

    held, said = threading.Event(), []

    def holds() -> None:
        with sole_writer(Path("out").absolute(), lambda: None):
            held.set()
            threading.Event().wait(0.5)

    other = threading.Thread(target=holds)
    other.start()
    held.wait(5)
    said = run("build", "a/1.intav", "--only", "musicxml")
    other.join()
    quiet = "Built into out/. 1 piece: nothing to report.\n"
    assert said == (0, quiet, "longneck: another build is writing into out; waiting for it to finish\n")


# --- the page of all pieces --------------------------------------------------------------------------------


def listed(out: str = "out") -> list[str]:
    """The pieces that the page names, in its order."""
    return html.fromstring(Path(out, "index.html").read_bytes()).xpath("//th/code/text()")  # type: ignore[no-any-return]


def test_the_page_lists_every_edition_whichever_was_built_last(here: Path) -> None:
    run("build", "a", "b")
    whole = Path("out/index.html").read_bytes()
    assert listed() == ["a/1.intav", "a/2.intav", "b/3.intav"]
    run("build", "b/3.intav")
    assert Path("out/index.html").read_bytes() == whole
    run("build", "a/1.intav", "--no-proof")
    assert listed() == ["a/1.intav", "a/2.intav", "b/3.intav"]
    links = html.fromstring(Path("out/index.html").read_bytes()).xpath("//a/@href")
    assert all(Path("out", link).is_file() for link in links) and "a/1/proof.html" not in links


def test_the_page_counts_what_an_earlier_run_found(here: Path) -> None:
    write("a/2.intav", PIECE.replace("3:3\n", "3:3 3:3\n"))
    run("build", "a", "b")
    before = html.fromstring(Path("out/index.html").read_bytes()).xpath("//td/text()")
    run("build", "b/3.intav")
    assert html.fromstring(Path("out/index.html").read_bytes()).xpath("//td/text()") == before
    assert any(text.isdigit() and int(text) for text in before), "there is something to count"


def test_a_page_that_cannot_be_written_is_said_of_the_page(here: Path) -> None:
    Path("out/index.html").mkdir(parents=True)
    code, out, _ = run("build", "b/3.intav")
    assert code == 1 and out.startswith("out/index.html:1:1  error cannot-write  out/index.html cannot be written")


def test_a_piece_that_the_system_does_not_give_keeps_its_edition(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A disk that fails for a while."""
    run("build", ".", "--only", "musicxml")
    before = names("out/a/1")
    with monkeypatch.context() as failing:
        failing.setattr(
            "pipeline.folder.batch.reading.read_raw", lambda file: RawFile(file.name, refused="Disk failure")
        )
        code, out, _ = run("build", "a/1.intav", "--only", "musicxml")
    assert code == 1 and out.startswith("a/1.intav:1:1  error file-unreadable  Disk failure.")
    assert names("out/a/1") == sorted([*before, "not-built.json"])
    assert passes("build", ".", "--only", "musicxml")
    assert names("out/a/1") == before


# --- seen from elsewhere -----------------------------------------------------------------------------------


@pytest.mark.parametrize("marked", [True, False])
def test_clearing_a_collection_from_outside_keeps_what_exists(
    here: Path, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory, *, marked: bool
) -> None:
    """The path typed is the collection's top folder."""
    if not marked:
        (here / ".git").rmdir()
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    build = ("build", str(here), "--out", "out", "--only", "musicxml", "--clear-removed")
    assert passes(*build) and passes(*build)
    (here / "a/2.intav").unlink()
    assert run(*build)[1].endswith("a/2  cleared\nBuilt into out/. 2 pieces: nothing to report.\n")
    assert len(list(Path("out").rglob("edition.musicxml"))) == 2
