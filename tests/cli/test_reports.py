"""``--report``, ``--baseline`` and declared severities, as ``check`` and ``build`` take them."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Iterable
from pathlib import Path

import pytest

import pipeline.cli.outputs
from tests.cli.asked import passes, run, write
from tests.outside.machine import junit_suites, valid, valid_sarif

GOOD = "longneck 1\ntitle Good\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"
BAD = GOOD.replace("8,4:2,2:1", "8:1,4:2")
SLIP = "fretted-diapason"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


# --- reports ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "build"])
def test_all_forms_at_once(here: Path, command: str) -> None:
    write("book/1.intav", BAD)
    write("book/2.intav", GOOD)
    asked = [f"--report={form}=r.{form}" for form in ("json", "sarif", "junit", "github", "markdown")]
    code, out, err = run(command, "book", *asked)
    assert (code, err) == (1, "")
    assert SLIP in out  # the text stays on standard output
    files = valid(Path("r.json").read_bytes(), "report")["files"]
    assert [(file["file"], len(file["findings"])) for file in files] == [("book/1.intav", 1), ("book/2.intav", 0)]
    (result,) = valid_sarif(Path("r.sarif").read_bytes())["runs"][0]["results"]
    assert result["ruleId"] == SLIP
    (suite,) = junit_suites(Path("r.junit").read_bytes())
    assert [(case.name, bool(case.result)) for case in suite] == [("1.intav", True), ("2.intav", False)]
    assert Path("r.github").read_text(encoding="utf-8").startswith("::error file=book/1.intav,line=7,")
    assert "| `book/1.intav` | 1 |" in Path("r.markdown").read_text(encoding="utf-8")


def test_a_report_on_standard_output_takes_the_place_of_the_text(here: Path) -> None:
    write("1.intav", BAD)
    code, out, err = run("check", ".", "--report", "sarif=-")
    assert (code, err) == (1, "1 piece: 1 error.\n")
    assert valid_sarif(out.encode())["runs"][0]["results"]


def test_names_start_at_the_top_of_the_collection_wherever_one_stands(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write("book/heading.intav", "longneck 1\npitch high\n")
    write("book/1.intav", BAD)
    run("check", ".", "--report", "sarif=a.sarif", "--report", "json=a.json")
    monkeypatch.chdir(here / "book")
    run("check", "1.intav", "--report", "sarif=../b.sarif", "--report", "json=../b.json")
    monkeypatch.chdir("/")
    run("check", str(here / "book"), "--report", f"sarif={here}/c.sarif", "--report", f"json={here}/c.json")
    for kind in ("sarif", "json"):
        assert len({(here / f"{name}.{kind}").read_bytes() for name in "abc"}) == 1
    assert json.loads((here / "a.json").read_bytes())["files"][0]["file"] == "book/heading.intav"


def test_without_a_collection_names_start_at_the_current_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    write("in/1.intav", BAD)
    run("check", "in", "--report", "json=a.json")
    assert valid(Path("a.json").read_bytes(), "report")["files"][0]["file"] == "in/1.intav"
    monkeypatch.chdir(tmp_path / "in")
    Path("deep").mkdir()
    monkeypatch.chdir(tmp_path / "in" / "deep")
    run("check", "..", "--report", "json=a.json")
    assert valid(Path("a.json").read_bytes(), "report")["files"][0]["file"] == f"{tmp_path.resolve()}/in/1.intav"


def test_a_second_build_reports_the_same(here: Path) -> None:
    """What is repeated from an earlier build is reported like what is found anew, declared severities and all."""
    write("heading.intav", f"longneck 1\nseverity {SLIP} = warning\n")
    write("1.intav", BAD)
    first = run("build", ".", "--report", "json=-", "--report", "sarif=a.sarif")
    assert first == run("build", ".", "--report", "json=-", "--report", "sarif=b.sarif")
    assert Path("a.sarif").read_bytes() == Path("b.sarif").read_bytes()
    assert json.loads(first[1])["counts"]["warnings"] == 1


REFUSED = {
    (
        "--report",
        "html=x",
    ): "--report: there is no form called html; the forms are json, sarif, junit, github, markdown",
    ("--report", "=x"): "--report: there is no form called nothing; the forms are json, sarif, junit, github, markdown",
    ("--report", "sarif"): "--report sarif needs a file: sarif=FILE, or sarif=- for standard output",
    ("--report", "sarif=no/x"): "no/x cannot be written: there is no folder no",
    ("--report", "sarif=."): ". is a folder",
    ("--report", "sarif=1.intav"): "1.intav has the name of a piece; no other output is written there",
    ("--report", "sarif=-", "--report", "json=-"): "two reports cannot both go to standard output",
    ("--report", "sarif=x", "--report", "json=x"): "x is named for two outputs",
    ("--write-baseline",): "--write-baseline needs --baseline FILE, the file to write",
    ("--write-baseline", "--baseline", "1.intav"): "1.intav has the name of a piece; no other output is written there",
    ("--report", "sarif=./broken.json", "--baseline", "broken.json"): "broken.json is named for two outputs",
    ("--baseline", "k.json"): "there is no baseline k.json; --write-baseline makes it",
    ("--baseline", "."): "the baseline . cannot be read: Is a directory",
    (
        "--baseline",
        "broken.json",
    ): "the baseline broken.json cannot be read: line 2, column 1: it is not JSON from here on",
}


@pytest.mark.parametrize("command", ["check", "build"])
@pytest.mark.parametrize("asked", REFUSED)
def test_questions_that_make_no_sense_are_refused_before_any_work(
    here: Path, command: str, asked: tuple[str, ...]
) -> None:
    write("1.intav", BAD)
    write("broken.json", '{"form": 1, "known":\n}')
    assert run(command, ".", *asked) == (2, "", f"longneck: {REFUSED[asked]}\n")
    assert Path("1.intav").read_text(encoding="utf-8") == BAD
    assert not Path("out").exists()


def test_a_report_that_cannot_be_written(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder was there when it was looked for; then the disk is full."""

    def full(path: Path, parts: Iterable[bytes]) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    write("1.intav", BAD)
    monkeypatch.setattr(pipeline.cli.outputs, "write_parts", full)
    code, out, err = run("check", ".", "--report", "sarif=x")
    assert (code, err) == (2, "longneck: x cannot be written: No space left on device\n")
    assert SLIP in out  # what was found has been said


def test_a_report_replaces_an_older_one_in_one_step(here: Path) -> None:
    write("1.intav", BAD)
    old = write("r.json", "old")
    inode = old.stat().st_ino
    run("check", ".", "--report", "json=r.json")
    assert old.stat().st_ino != inode
    assert sorted(path.name for path in here.iterdir()) == [".git", "1.intav", "r.json"]


# --- the baseline -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "build"])
def test_known_findings_pass_new_ones_fail(here: Path, command: str) -> None:
    write("1.intav", BAD)
    write("2.intav", GOOD)
    code, _, err = run(command, ".", "--baseline", "known.json", "--write-baseline")
    assert (code, err) == (0, "longneck: known.json holds 1 known finding\n")
    valid(Path("known.json").read_bytes(), "baseline")
    assert passes(command, ".", "--baseline", "known.json")
    # Lines above come; the finding is known all the same.
    write("1.intav", BAD.replace("metre C\n", "metre C\nremark One\nremark Two\n"))
    assert passes(command, ".", "--baseline", "known.json")
    # The same slip in another piece is new.
    write("2.intav", BAD)
    code, out, _ = run(command, ".", "--baseline", "known.json")
    assert code == 1 and out.startswith("2.intav:7:5") and "1.intav" not in out
    assert run(command, ".", "--baseline", "known.json", "--write-baseline")[0] == 0
    assert passes(command, ".", "--baseline", "known.json")


def test_known_findings_that_occur_no_more_are_said_until_the_baseline_is_renewed(here: Path) -> None:
    write("1.intav", BAD)
    write("2.intav", BAD)
    run("check", ".", "--baseline", "known.json", "--write-baseline")
    write("1.intav", GOOD)
    said = (
        "longneck: 1 known finding in known.json no longer occurs; --write-baseline renews it\n"
        f"    1.intav  {SLIP}  | 1=8:1,4:2 |||\n"
    )
    assert run("check", ".", "--baseline", "known.json") == (0, "2 pieces: 1 known.\n", said)
    assert passes("check", "2.intav", "--baseline", "known.json")  # 1.intav was not asked for
    assert run("check", "1.intav", "--baseline", "known.json", "--write-baseline")[0] == 0
    entries = json.loads(Path("known.json").read_bytes())["known"]
    assert [entry["piece"] for entry in entries] == ["2.intav"]  # not lost, though not read this time
    assert passes("check", ".", "--baseline", "known.json")


def test_the_baseline_holds_wherever_one_stands(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write("book/1.intav", BAD)
    run("check", ".", "--baseline", "known.json", "--write-baseline")
    monkeypatch.chdir(here / "book")
    assert passes("check", ".", "--baseline", "../known.json")


def test_what_cannot_be_written_is_never_known(here: Path) -> None:
    write("1.intav", GOOD)
    write("out/1", "in the way")
    code, out, _ = run("build", ".", "--baseline", "known.json", "--write-baseline")
    assert code == 1 and "cannot-write" in out
    assert json.loads(Path("known.json").read_bytes())["known"] == []


# --- severities -------------------------------------------------------------------------------------------------


def test_a_folder_weighs_its_findings(here: Path) -> None:
    write("heading.intav", f"longneck 1\nseverity {SLIP} = note\n")
    write("1.intav", BAD)
    code, out, _ = run("check", ".")
    assert code == 0 and out.startswith(f"1.intav:7:5  note {SLIP}  ")
    run("build", ".", "--report", "sarif=r.sarif")
    (run_,) = valid_sarif(Path("r.sarif").read_bytes())["runs"]
    assert run_["results"][0]["level"] == "note"
    assert run_["tool"]["driver"]["rules"][0]["defaultConfiguration"] == {"level": "error"}
    found = json.loads(Path("out/1/findings.json").read_bytes())
    assert found["counts"] == {"errors": 0, "warnings": 0, "notes": 1}


def test_a_warning_can_be_made_to_fail(here: Path) -> None:
    write("1.intav", GOOD.replace("4=3:2 3:3", "4=3:2 _2:3"))
    assert run("check", ".")[0] == 0
    write("heading.intav", "longneck 1\nseverity slur-leaves-course = error\n")
    assert run("check", ".")[0] == 1


def test_no_finding_can_be_hidden(here: Path) -> None:
    write("heading.intav", f"longneck 1\nseverity {SLIP} = off\n")
    write("1.intav", BAD)
    code, out, _ = run("check", ".")
    assert code == 1
    assert "heading.intav:2:29  error severity  Expected error, warning or note, not “off”." in out
    assert "the least that it can be is a note" in out and SLIP in out
