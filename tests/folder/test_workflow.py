"""The ready-made workflow and hooks, as far as a machine without a network can run them: a clone of a sample collection
passes, and fails at the right line once a mistake is made in it."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from tests.outside.machine import junit_suites, valid, valid_sarif, workflow_schema
from tests.sample import ANTHOLOGY, copy_of

ROOT = Path(__file__).parents[2]
READY = ROOT / "fixtures" / "workflow"
#: The sample collection, and how many pieces it has.
SAMPLE = ("historical/04-first-notes", "lute/08-romanesca", "songs/06-aria", "theorbo/02-ground")
#: A piece of the sample, a line of it, and the same line with a slip of one sign: the last quaver became a crotchet.
PIECE = "theorbo/02-ground.intav"
RIGHT = "| 4=X,4:2,3:3,2:1 4.=3:5 8=3:6\n"
SLIP = "| 4=X,4:2,3:3,2:1 4.=3:5 4=3:6\n"

#: How the service runs a step that names bash as its shell. Source: its "Workflow syntax", jobs.<id>.steps[*].shell.
BASH = ["bash", "--noprofile", "--norc", "-eo", "pipefail"]


WORKFLOWS = ("longneck.yml", "longneck-shares.yml")


def workflow(name: str = WORKFLOWS[0]) -> dict[str, Any]:
    read = yaml.safe_load((READY / name).read_text(encoding="utf-8"))
    return {"on" if key is True else key: value for key, value in read.items()}  # YAML 1.1 takes "on" for a truth value


def git(folder: Path, *arguments: str, check: bool = True, **environment: str) -> subprocess.CompletedProcess[str]:
    env = clean() | environment
    return subprocess.run(["git", *arguments], cwd=folder, env=env, check=check, capture_output=True, text=True)


def clean() -> dict[str, str]:
    """An environment in which no setting of this machine's user speaks."""
    who = {"GIT_AUTHOR_NAME": "E. B.", "GIT_COMMITTER_NAME": "E. B."}
    mail = {"GIT_AUTHOR_EMAIL": "eb@example.org", "GIT_COMMITTER_EMAIL": "eb@example.org"}
    none = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("GIT_", "GITHUB_"))}
    return kept | who | mail | none


def program(folder: Path) -> Path:
    """A folder for the search path that holds the command, as an installation would put it there."""
    folder.mkdir(exist_ok=True)
    command = folder / "longneck"
    command.write_text(f'#!/bin/sh\nPYTHONPATH="{ROOT}" exec "{sys.executable}" -m pipeline "$@"\n', encoding="utf-8")
    command.chmod(0o755)
    return folder


@pytest.fixture
def collection(tmp_path: Path) -> Path:
    """A library's repository: the sample collection, committed."""
    library = tmp_path / "library"
    copy_of(SAMPLE, library)
    git(library, "init", "-q", "-b", "main")
    git(library, "add", ".")
    git(library, "commit", "-q", "-m", "The pieces")
    return library


def slip(folder: Path) -> int:
    """Make the mistake, and say in which line."""
    piece = folder / PIECE
    text = piece.read_text(encoding="utf-8")
    assert text.count(RIGHT) == 1
    piece.write_text(text.replace(RIGHT, SLIP), encoding="utf-8")
    return text[: text.index(RIGHT)].count("\n") + 1


# --- the workflow --------------------------------------------------------------------------------------------


#: The condition of a step that is to run whatever failed before it.
_WHATEVER = "${{ !cancelled() }}"


@dataclass
class Pass:
    """One pass of the workflow over a clone."""

    folder: Path
    code: int
    log: str
    summary: str


def run_workflow(clone: Path, tmp_path: Path, steps: list[dict[str, Any]], env: dict[str, str]) -> Pass:
    """Run the steps that run commands, in order, as the service does: after one that fails, only those that are to run
    whatever failed. The install step meets a pip that fetches nothing and puts the command of this checkout where pip
    would."""
    tools = tmp_path / "tools"
    tools.mkdir(exist_ok=True)
    pip = tools / "python"
    wanted = f'[ "$*" = "-m pip install {env["LONGNECK"]}" ] || exit 9'
    pip.write_text(f'#!/bin/sh\n{wanted}\ncp "{program(tmp_path / "wheel")}/longneck" "{tools}/longneck"\n')
    pip.chmod(0o755)
    summary = tmp_path / "summary.md"
    summary.write_bytes(b"")
    variables = clean() | env | {"GITHUB_STEP_SUMMARY": str(summary), "CI": "true", "GITHUB_ACTIONS": "true"}
    variables["PATH"] = f"{tools}:/usr/bin:/bin"
    log, code = "", 0
    for step in steps:
        assert "run" not in step or step.get("if", _WHATEVER) == _WHATEVER, "another condition needs to be judged here"
        if "run" not in step or (code and "if" not in step):
            continue
        shell = BASH if step.get("shell") == "bash" else ["bash", "-e"]
        script = tmp_path / "step.sh"
        script.write_text(step["run"], encoding="utf-8")
        done = subprocess.run(
            [*shell, str(script)], cwd=clone, env=variables, capture_output=True, text=True, check=False
        )
        log += done.stdout + done.stderr
        code = code or done.returncode
    return Pass(clone, code, log, summary.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", WORKFLOWS)
def test_the_workflow_is_one(name: str) -> None:
    jsonschema.Draft7Validator(workflow_schema()).validate(workflow(name))


@pytest.mark.parametrize("name", WORKFLOWS)
def test_what_the_workflow_may_do(name: str) -> None:
    """No more than reading the pieces and writing findings; and nothing typed by a stranger becomes a command: steps
    take what they need from the environment, never from an expression inside a script."""
    read = workflow(name)
    assert read["permissions"] == {"contents": "read", "security-events": "write"}
    scripts = [step["run"] for job in read["jobs"].values() for step in job["steps"] if "run" in step]
    assert scripts and not any("${{" in script for script in scripts)


@pytest.mark.parametrize("name", WORKFLOWS)
def test_what_is_built_is_kept_whatever_was_found(name: str) -> None:
    """The action that restores and saves in one saves only after success (``post-if: success()`` in actions/cache,
    ``action.yml``); so the two are apart, under one key, and the second runs whatever failed."""
    steps = next(iter(workflow(name)["jobs"].values()))["steps"]
    used = [step.get("uses", "").partition("@")[0] for step in steps]
    restore, save = used.index("actions/cache/restore"), used.index("actions/cache/save")
    build = next(number for number, step in enumerate(steps) if "longneck build" in step.get("run", ""))
    assert restore < build < save and "actions/cache" not in used
    assert steps[save]["if"] == "${{ always() }}" and "if" not in steps[restore]
    assert steps[save]["with"] == {key: steps[restore]["with"][key] for key in ("path", "key")}
    # A second attempt at a commit has a key of its own, or it could not be saved.
    assert "github.sha" in steps[save]["with"]["key"] and "github.run_attempt" in steps[save]["with"]["key"]
    assert steps[save]["with"]["key"].startswith(steps[restore]["with"]["restore-keys"])


def test_a_clone_passes_and_fails_rightly_on_a_slip(collection: Path, tmp_path: Path) -> None:
    read = workflow()
    (job,) = read["jobs"].values()
    steps = job["steps"]

    git(tmp_path, "clone", "-q", str(collection), "first")
    first = run_workflow(tmp_path / "first", tmp_path, steps, read["env"])
    assert first.code == 0
    # The sample has warnings and notes, which are shown, and no error.
    assert first.log and set(re.findall("^::([a-z]+) file=", first.log, re.MULTILINE)) <= {"warning", "notice"}
    assert f"{len(SAMPLE)} pieces: " in first.summary and "error" not in first.summary.partition("|")[0]
    assert all((first.folder / "out" / piece / "edition.musicxml").is_file() for piece in SAMPLE)
    _kept(first.folder, steps)
    (run,) = valid_sarif((first.folder / "reports/longneck.sarif").read_bytes())["runs"]
    assert {result["level"] for result in run["results"]} <= {"warning", "note"}

    line = slip(collection)
    git(collection, "commit", "-q", "-a", "-m", "A slip")
    git(tmp_path, "clone", "-q", str(collection), "second")
    second = run_workflow(tmp_path / "second", tmp_path, steps, read["env"])
    assert second.code == 1
    errors = re.findall(r"^::error file=(.*?),line=(\d+),.*?,title=(.*?)%3A .*?::.*$", second.log, re.MULTILINE)
    assert errors == [(PIECE, str(line), "bar-too-long")]
    assert f"`{PIECE}:{line}:" in second.summary
    _kept(second.folder, steps)
    _reports_tell(second.folder / "reports", line)


def _kept(clone: Path, steps: list[dict[str, Any]]) -> None:
    """What the steps of others take is there."""
    taken = [
        line for step in steps for key in ("path", "sarif_file") for line in step.get("with", {}).get(key, "").split()
    ]
    assert sorted(set(taken)) == ["out", "reports", "reports/longneck.sarif"]
    assert all((clone / name).exists() for name in taken)


def _reports_tell(reports: Path, line: int) -> None:
    results = valid_sarif((reports / "longneck.sarif").read_bytes())["runs"][0]["results"]
    (result,) = [result for result in results if result["level"] == "error"]
    place = result["locations"][0]["physicalLocation"]
    assert (result["ruleId"], place["artifactLocation"]["uri"]) == ("bar-too-long", PIECE)
    assert place["region"]["startLine"] == line
    cases = [case for suite in junit_suites((reports / "longneck.xml").read_bytes()) for case in suite]
    assert [case.name for case in cases if case.result] == ["02-ground.intav"] and len(cases) == len(SAMPLE)
    assert valid((reports / "longneck.json").read_bytes(), "report")["counts"]["errors"] == 1


def test_a_known_slip_passes_the_workflow(collection: Path, tmp_path: Path) -> None:
    read = workflow()
    (job,) = read["jobs"].values()
    slip(collection)
    command = [
        str(program(tmp_path / "wheel") / "longneck"),
        "check",
        ".",
        "--baseline",
        "known.json",
        "--write-baseline",
    ]
    subprocess.run(command, cwd=collection, check=True, capture_output=True)
    git(collection, "add", ".")
    git(collection, "commit", "-q", "-m", "A slip, known")
    git(tmp_path, "clone", "-q", str(collection), "clone")
    done = run_workflow(tmp_path / "clone", tmp_path, job["steps"], read["env"])
    assert done.code == 0 and re.fullmatch(r"Built into out/\. 4 pieces: \d+ known\.\n", done.log)
    assert re.search(r"4 pieces: \d+ known\.\n", done.summary)


def test_the_shares_of_a_clone_are_joined(collection: Path, tmp_path: Path) -> None:
    """Each share in a clone of its own, as each job has one; what they hand on is laid where the last job finds it. The
    slip is told at its line by the last job, and by no other."""
    line = slip(collection)
    git(collection, "commit", "-q", "-a", "-m", "A slip")
    read = workflow("longneck-shares.yml")
    shares, edition = read["jobs"]["share"], read["jobs"]["edition"]
    numbers = shares["strategy"]["matrix"]["share"]
    assert [int(number) for number in numbers] == list(range(1, int(read["env"]["SHARES"]) + 1))
    assert shares["env"] == {"SHARE": "${{ matrix.share }}"} and edition["needs"] == "share"
    git(tmp_path, "clone", "-q", str(collection), "edition")
    there = tmp_path / "edition" / "shares"
    for number in numbers:
        git(tmp_path, "clone", "-q", str(collection), f"clone{number}")
        done = run_workflow(tmp_path / f"clone{number}", tmp_path, shares["steps"], read["env"] | {"SHARE": number})
        assert (done.code, done.log) == (0, "")
        shutil.copytree(done.folder / "out", there / f"share-{number}")
    joined = run_workflow(tmp_path / "edition", tmp_path, edition["steps"], read["env"])
    assert joined.code == 1
    errors = re.findall(r"^::error file=(.*?),line=(\d+),", joined.log, re.MULTILINE)
    assert errors == [(PIECE, str(line))]
    assert f"{len(SAMPLE)} pieces: " in joined.summary
    assert len(list((joined.folder / "out").rglob("edition.musicxml"))) == len(SAMPLE)
    valid_sarif((joined.folder / "reports/longneck.sarif").read_bytes())


def test_published_editions_must_be_those_of_the_pieces(collection: Path, tmp_path: Path) -> None:
    """One note is changed and nobody has renewed the edition: nothing is an error, but the comparison names the bar."""
    read = workflow()
    (job,) = read["jobs"].values()
    longneck = str(program(tmp_path / "wheel") / "longneck")
    for others in [folder for folder in collection.iterdir() if folder.name not in ("songs", "heading.intav", ".git")]:
        shutil.rmtree(others)
    subprocess.run([longneck, "build", ".", "--out", "editions"], cwd=collection, check=True, capture_output=True)
    git(collection, "add", ".")
    git(collection, "commit", "-q", "-m", "Editions")
    git(tmp_path, "clone", "-q", str(collection), "kept")
    kept = run_workflow(tmp_path / "kept", tmp_path, job["steps"], read["env"])
    assert kept.code == 0 and "1 piece, all unchanged." in kept.log

    song = collection / "songs" / "06-aria.intav"
    text = song.read_text(encoding="utf-8")
    assert text.count("\n| 8,4:2,3:3 9,") == 1  # the second bar
    song.write_text(text.replace("\n| 8,4:2,3:3 9,", "\n| 8,4:3,3:3 9,"), encoding="utf-8")
    git(collection, "commit", "-q", "-a", "-m", "Another note")
    git(tmp_path, "clone", "-q", str(collection), "changed")
    changed = run_workflow(tmp_path / "changed", tmp_path, job["steps"], read["env"])
    assert changed.code == 1
    assert "songs/06-aria.intav" in changed.log
    assert re.findall(r"^ +Bar (\d+)", changed.log, re.MULTILINE) == ["2"]
    assert valid((changed.folder / "reports" / "editions.json").read_bytes(), "comparison")
    assert (changed.folder / "reports" / "editions.html").is_file()

    slipped = text.replace("\n| 8,4:2,3:3 9,", "\n| 8,4:2,3:3 zz 9,")
    song.write_text(slipped, encoding="utf-8")
    git(collection, "commit", "-q", "-a", "-m", "A slip")
    git(tmp_path, "clone", "-q", str(collection), "slipped")
    both = run_workflow(tmp_path / "slipped", tmp_path, job["steps"], read["env"])
    assert both.code == 1 and "::error file=songs/06-aria.intav" in both.log
    assert "1 changed" in both.log, "an error does not keep the comparison from being made"


# --- the plain hook ------------------------------------------------------------------------------------------


@pytest.fixture
def guarded(collection: Path, tmp_path: Path) -> tuple[Path, str]:
    """The collection with the hook in it, and a search path with the command."""
    shutil.copy(READY / "pre-commit", collection / ".git" / "hooks" / "pre-commit")
    return collection, f"{program(tmp_path / 'bin')}:{os.environ['PATH']}"


def commit(folder: Path, path: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return git(folder, "commit", "-q", "-m", "Work", *arguments, check=False, PATH=path)


def test_the_hook_lets_good_work_pass(guarded: tuple[Path, str]) -> None:
    folder, path = guarded
    (folder / PIECE).write_text((folder / PIECE).read_text(encoding="utf-8") + "; seen\n", encoding="utf-8")
    done = commit(folder, path, "-a")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert git(folder, "status", "--porcelain").stdout == ""


def test_the_hook_stops_a_slip_and_names_its_line(guarded: tuple[Path, str]) -> None:
    folder, path = guarded
    before = git(folder, "rev-parse", "HEAD").stdout
    line = slip(folder)
    done = commit(folder, path, "-a")
    assert done.returncode == 1
    told = [line for line in done.stderr.splitlines() if not line.startswith(" ")]
    assert told[0].startswith(f"{PIECE}:{line}:") and "  error bar-too-long  " in told[0]
    assert told[1:] == ["longneck: the commit is not made"], "the sample's warnings and notes are not told"
    assert git(folder, "rev-parse", "HEAD").stdout == before


def test_the_hook_sees_that_a_notation_file_goes(guarded: tuple[Path, str]) -> None:
    folder, path = guarded
    (folder / "canto.KRN").write_bytes(b"**kern\n*M3/4\n=1\n2.dd\n==\n*-\n")
    piece = folder / "songs" / "06-aria.intav"
    heading = (
        "longneck 1\ntitle Aria\ninstrument theorbo in A\nmetre 3/4\nlayer v = Canto, clef C1, from ../canto.KRN\n"
    )
    piece.write_text(f"{heading}\n| 2.=7,4:0,3:0 |||\n", encoding="utf-8")
    git(folder, "add", ".")
    assert commit(folder, path).returncode == 0
    git(folder, "rm", "-q", "canto.KRN")
    done = commit(folder, path)
    assert done.returncode == 1 and "voice-file-missing" in done.stderr


def test_the_hook_judges_what_is_committed_not_what_lies_about(guarded: tuple[Path, str]) -> None:
    folder, path = guarded
    slip(folder)
    git(folder, "add", PIECE)
    git(folder, "stash", "-q")
    git(folder, "stash", "apply", "-q", "--index")
    (folder / PIECE).write_bytes((ANTHOLOGY / PIECE).read_bytes())  # mended, but not staged
    assert commit(folder, path).returncode == 1
    git(folder, "reset", "-q", "--hard")
    slip(folder)  # faulty, but not staged
    heading = folder / "heading.intav"
    heading.write_text(heading.read_text(encoding="utf-8") + "remark Seen\n", encoding="utf-8")
    git(folder, "add", "heading.intav")
    assert commit(folder, path).returncode == 0


def test_the_hook_sees_what_a_heading_does_to_its_pieces(guarded: tuple[Path, str]) -> None:
    folder, path = guarded
    heading = folder / "theorbo" / "heading.intav"
    text = heading.read_text(encoding="utf-8")
    heading.write_text(text.replace("theorbo in A", "lute in G, 6 courses"), encoding="utf-8")
    assert commit(folder, path, "-a").returncode == 1


def test_the_hook_copies_no_scan_and_judges_the_one_that_is_committed(guarded: tuple[Path, str]) -> None:
    """A program in place of longneck tells what it is shown."""
    folder, path = guarded
    told = folder.parent / "told"
    command = folder.parent / "bin" / "longneck"
    command.write_text(f'#!/bin/sh\nfor f in *.png; do echo "$f $(stat -c %i "$f") $(cat "$f")"; done >"{told}"\n')
    for name in ("same.png", "changed.png", "gone.png", "odd \n'\"é.png"):
        (folder / name).write_text("committed", encoding="utf-8")
    git(folder, "add", ".")
    (folder / "changed.png").write_text("at work on it", encoding="utf-8")
    (folder / "gone.png").unlink()
    assert commit(folder, path).returncode == 0
    shown = dict(
        line.split(" ", 1) for line in told.read_text(encoding="utf-8").splitlines() if line[:3] in "samchagon"
    )
    assert shown["same.png"] == f"{(folder / 'same.png').stat().st_ino} committed", "the same file, not a copy"
    assert shown["changed.png"].endswith(" committed") and shown["gone.png"].endswith(" committed")
    assert (
        "at work" not in told.read_text(encoding="utf-8") and told.read_text(encoding="utf-8").count("committed") == 4
    )
    assert list((folder / ".git").glob("longneck-*")) == []
    assert (folder / "changed.png").read_text(encoding="utf-8") == "at work on it"


def test_the_hook_minds_its_own_business(guarded: tuple[Path, str], tmp_path: Path) -> None:
    folder, _ = guarded
    (folder / "notes.txt").write_text("No piece.\n", encoding="utf-8")
    git(folder, "add", "notes.txt")
    assert commit(folder, os.environ["PATH"]).returncode == 0  # and needs no program for it
    git(folder, "rm", "-q", "-r", *{name.partition("/")[0] for name in SAMPLE})
    assert commit(folder, os.environ["PATH"]).returncode == 0


# --- the pre-commit framework --------------------------------------------------------------------------------


def test_the_hooks_run_in_the_framework(collection: Path, tmp_path: Path) -> None:
    """The framework itself reads the manifest and runs the hooks; only the language is another (installed command
    instead of an installation)."""
    hooks = tmp_path / "hooks"
    hooks.mkdir()
    shutil.copy(ROOT / ".pre-commit-hooks.yaml", hooks)
    git(hooks, "init", "-q")
    git(hooks, "add", ".")
    git(hooks, "commit", "-q", "-m", "Hooks")
    config = yaml.safe_load((READY / "pre-commit-config.yaml").read_text(encoding="utf-8"))
    (repository,) = config["repos"]
    repository |= {"repo": str(hooks), "rev": git(hooks, "rev-parse", "HEAD").stdout.strip()}
    for hook in repository["hooks"]:
        hook["language"] = "system"
    (collection / ".pre-commit-config.yaml").write_text(json.dumps(config), encoding="utf-8")
    git(collection, "add", ".")

    def run() -> subprocess.CompletedProcess[str]:
        path = f"{program(tmp_path / 'bin')}:{os.environ['PATH']}"
        env = clean() | {"PATH": path, "PRE_COMMIT_HOME": str(tmp_path / "home")}
        command = [sys.executable, "-m", "pre_commit", "run", "--all-files", "--color", "never"]
        return subprocess.run(command, cwd=collection, env=env, capture_output=True, text=True, check=False)

    good = run()
    assert good.returncode == 0, good.stdout + good.stderr
    assert re.findall(r"^longneck (\w+)\.+(\w+)$", good.stdout, re.MULTILINE) == [
        ("tidy", "Passed"),
        ("check", "Passed"),
    ]
    line = slip(collection)
    piece = collection / PIECE
    piece.write_text(piece.read_text(encoding="utf-8").replace("section Prima", "section   Prima"), encoding="utf-8")
    git(collection, "add", ".")
    bad = run()
    assert bad.returncode == 1
    assert f"{PIECE}  tidied" in bad.stdout
    check = bad.stdout.partition("hook id: longneck-check")[2].split("\n\n")[1].splitlines()
    assert check[0].startswith(f"{PIECE}:{line}:") and re.fullmatch(r"4 pieces: 1 error, .*", check[-1])
    assert "section Prima" in piece.read_text(encoding="utf-8")


def test_the_configuration_names_hooks_that_exist() -> None:
    config = yaml.safe_load((READY / "pre-commit-config.yaml").read_text(encoding="utf-8"))
    manifest = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert {hook["id"] for hook in config["repos"][0]["hooks"]} == {hook["id"] for hook in manifest}
    assert all(hook["language"] == "python" for hook in manifest)  # so that the framework installs the program
