"""Nothing typed in a piece, and no name, commands the terminal or the service in whose log it ends."""

from __future__ import annotations

import ast
import json
import unicodedata
from pathlib import Path

import pytest
from lxml import etree

import pipeline.cli
import pipeline.cli.running
from pipeline.findings.machine import WRITERS
from pipeline.folder.batch import Done
from pipeline.folder.files import Found, PieceFile
from tests.cli.asked import run, write
from tests.outside.runner import obeyed

HOSTILE = (
    "longneck 1\ntitle ##[error]forged\x1b]0;x\x07\ncomposer ::error::forged\ninstrument theorbo in A\nmetre C\n"
    "severity bar-too-short = note\n"
    "::stop-commands::forged\n"
    "  ::add-mask::forged\n\n"
    "| 2=7,4:0,3:0 4=3:2 ##[warning]forged ::error::forged\x9b31m\n"
    "| 1=8:1,4:2   |||\n"
)
NAMES = ("::error::forged.intav", "##[error]forged.intav", "\x1b[31mforged\x07\u202e.intav", "::a/##[group]b.intav")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for name in NAMES:
        write(name, HOSTILE)
    return tmp_path


def commanding(text: str) -> list[str]:
    """Signs of control and of direction: what a terminal obeys. Source: Unicode, categories Cc and Cf."""
    return [sign for sign in text if sign != "\n" and unicodedata.category(sign) in ("Cc", "Cf")]


def test_the_signs_are_known_by_the_reader_of_this_test() -> None:
    assert obeyed("  ::stop-commands::x\nfoo ##[Error]y\n::error file=a,line=1::z\n::unknown::x\n- ##[nothing]") == [
        ("stop-commands", "x"),
        ("error", "y"),
        ("error", "z"),
    ]
    assert commanding("a\x1b[31m\x07\x9b\u202e\n") == ["\x1b", "\x07", "\x9b", "\u202e"]


@pytest.mark.parametrize(
    "command",
    [
        ("check", "."),
        ("build", ".", "--only", "findings"),
        ("tidy", "--check", "."),
        ("programme", "."),
        ("compare", NAMES[0], NAMES[1], "--readings"),
        ("check", f"nowhere/{NAMES[0]}"),
        ("check", ".", "--baseline", "known.json", "--write-baseline"),
    ],
    ids=lambda command: " ".join(command[:2]),
)
def test_what_is_printed_commands_nothing(here: Path, command: tuple[str, ...]) -> None:
    if "findings" in command:
        command = ("build", ".", "--only", "events")
    code, out, err = run(*command)
    assert code in (0, 1, 2) and out + err
    assert obeyed(out) == obeyed(err) == []
    assert commanding(out + err) == []


def test_what_is_verified_commands_nothing(here: Path) -> None:
    run("build", ".", "--only", "events")
    for name in NAMES:
        write(name, HOSTILE.replace("4=3:2", "4=3:3"))
    (here / NAMES[2]).unlink()
    code, out, err = run("verify", ".", "--out", "out")
    assert code == 1 and "forged" in out
    assert obeyed(out) == obeyed(err) == [] == commanding(out + err)


@pytest.mark.parametrize("form", WRITERS)
def test_a_report_on_standard_output_commands_nothing_but_its_own(here: Path, form: str) -> None:
    code, out, err = run("check", ".", f"--report={form}=-")
    assert code == 1 and err.count("\n") == 1 and "4 pieces: " in err and "forged" in out
    assert commanding(out) == []
    own = [line for line in out.splitlines() if line.startswith(("::error file=", "::warning file=", "::notice file="))]
    assert len(obeyed(out)) == (len(own) if form == "github" else 0)
    assert bool(own) is (form == "github")


def test_nothing_is_lost_in_forms_that_have_escapes(here: Path) -> None:
    _, out, _ = run("check", ".", "--report=json=-")
    assert {file["file"] for file in json.loads(out)["files"]} == set(NAMES)
    _, out, _ = run("check", ".", "--report=junit=-")
    cases = etree.fromstring(out.encode()).iter("testcase")
    assert {case.get("name") for case in cases} >= {
        "::error::forged.intav",
        "##[error]forged.intav",
        "##[group]b.intav",
    }


def test_what_the_engraver_says_commands_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    piece = PieceFile(Path("a.intav"), "a.intav", Path("a"))
    said = ("::error::forged", "##[error]forged", "\x1b[31m")
    done = Done("a.intav", (), warnings=said, fault="Traceback\n  ::stop-commands::forged\nE: \x1b[2J##[error]forged")
    with pytest.raises(BaseException, match="3"):
        pipeline.cli.running.run(iter([done]), Found((piece,)), "", pipeline.cli.running.Reporting())
    out, err = capsys.readouterr()
    assert err.count("the engraver says") == 3 and "Traceback" in err
    assert obeyed(out + err) == [] == commanding(out + err)


def test_the_commands_say_nothing_but_by_way_of_what_is_printable() -> None:
    """``typer.echo`` and ``print`` pass on whatever they get; only reports, which are escaped, go past it."""
    past = set()
    for file in sorted(Path(pipeline.cli.__file__).parent.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("echo", "print", "print_exc")):
                past.add(f"{file.name}: {ast.unparse(node)}")
    assert past == {
        "saying.py: typer.echo(printable(line), err=err)",
        "app.py: typer.echo(f'longneck {__version__}')",
        "reports.py: typer.echo(part, nl=False)",
    }
