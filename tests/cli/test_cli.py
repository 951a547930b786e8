"""The command line as a user meets it: exit codes, what is printed where, colours, and files that are no good."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from contextlib import nullcontext
from pathlib import Path

import pytest

import pipeline.cli.check
import pipeline.edition.leading
from pipeline import __version__
from tests.cli.asked import passes, run, write

ROOT = Path(__file__).parents[2]

GOOD = "longneck 1\ntitle Good\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"
BAD = GOOD.replace("8,4:2,2:1", "8:1,4:2")
WARNED = GOOD.replace("4=3:2 3:3", "4=3:2 _2:3")
ARTEFACTS = [
    "build.json",
    "critical-report.csv",
    "critical-report.html",
    "edition-001.svg",
    "edition.mei",
    "edition.musicxml",
    "events.xml",
    "findings.json",
    "proof.html",
    "reduction-001.svg",
    "reduction.mei",
    "reduction.musicxml",
]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty collection, and the current folder in it."""
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    return tmp_path


def at_terminal(*arguments: str, **environment: str) -> tuple[int, str]:
    """Run the real program at a terminal: exit code and all that appears there."""
    inside, outside = pty.openpty()
    env = {key: value for key, value in os.environ.items() if key not in {"NO_COLOR", "FORCE_COLOR", "CI"}}
    env |= {"TERM": "xterm-256color", "PYTHONPATH": str(ROOT), "COLUMNS": "200"} | environment
    command = [sys.executable, "-m", "pipeline", *arguments]
    process = subprocess.Popen(command, stdout=outside, stderr=outside, stdin=outside, env=env, close_fds=True)
    os.close(outside)
    shown = b""
    while True:
        try:
            part = os.read(inside, 65536)
        except OSError:  # the other end is closed
            break
        if not part:
            break
        shown += part
    os.close(inside)
    return process.wait(), shown.decode()


# --- check ---------------------------------------------------------------------------------------------


def test_a_clean_piece_is_told_in_a_line(here: Path) -> None:
    write("good.intav", GOOD)
    assert passes("check", "good.intav")


def test_findings_name_file_line_and_column(here: Path) -> None:
    write("bad.intav", BAD)
    code, out, err = run("check", "bad.intav")
    assert (code, err) == (1, "")
    assert out == (
        "bad.intav:7:5  error fretted-diapason  Course 8 is a diapason: it runs beside the neck and cannot be "
        "stopped.\n"
        "    | 1=8:1,4:2 |||\n"
        "        ‾‾‾\n"
        "    Type the open string, or the stopped course (1 to 6) that is meant. If it lies over the fingerboard here, "
        "type in the heading: stopped 8\n"
        "1 piece: 1 error.\n"
    )


def test_warnings_do_not_change_the_exit_code(here: Path) -> None:
    write("warned.intav", WARNED)
    code, out, _ = run("check", "warned.intav")
    assert code == 0
    assert out.startswith("warned.intav:6:21  warning slur-leaves-course  ")


def test_a_piece_with_errors_never_stops_the_others(here: Path) -> None:
    write("book/1.intav", BAD)
    write("book/2.intav", "no tablature at all\n")
    write("book/3.intav", b"longneck 1\ntitle Pr\xe9lude\n")
    write("book/4.intav", WARNED)
    code, out, _ = run("check", "book")
    assert code == 1
    places = [line.split(":")[0] for line in out.splitlines() if line.startswith("book/")]
    assert sorted(set(places)) == ["book/1.intav", "book/2.intav", "book/3.intav", "book/4.intav"]
    assert "book/3.intav:2:9  error not-utf8  The byte 0xE9 is not UTF-8." in out


def test_a_fault_in_an_inherited_heading_is_told_once(here: Path) -> None:
    write("book/heading.intav", "longneck 1\npitch high\n")
    write("book/1.intav", GOOD)
    write("book/2.intav", GOOD)
    code, out, _ = run("check", "book")
    assert code == 1
    assert out.count("book/heading.intav:2:7") == 1


def test_a_bad_heading_is_not_replaced_by_nothing(here: Path) -> None:
    write("book/heading.intav", b"longneck 1\ntitle \xff\n")
    write("book/1.intav", GOOD)
    code, out, _ = run("check", "book")
    assert code == 1
    assert out.startswith("book/heading.intav:2:7  error not-utf8")


# --- questions that make no sense ----------------------------------------------------------------------


@pytest.mark.parametrize("command", ["check", "build", "tidy"])
def test_paths_that_lead_nowhere(here: Path, command: str) -> None:
    Path("empty").mkdir()
    write("song.txt", GOOD)
    assert run(command, "nowhere.intav") == (2, "", "longneck: there is no nowhere.intav\n")
    assert run(command, "empty") == (2, "", "longneck: no pieces (*.intav) in empty\n")
    assert run(command, "song.txt") == (2, "", "longneck: song.txt is not a piece: names of pieces end in .intav\n")


@pytest.mark.parametrize("arguments", [["check"], ["build"], ["tidy"], ["sing"], ["check", "--loud", "x"], []])
def test_wrong_usage(here: Path, arguments: list[str]) -> None:
    assert run(*arguments)[0] == 2


def test_out_that_is_a_file(here: Path) -> None:
    write("good.intav", GOOD)
    write("out", "")
    assert run("build", "good.intav") == (2, "", "longneck: --out out is a file, not a folder\n")


def test_two_pieces_for_one_folder(here: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    write("good.intav", GOOD)
    other = tmp_path_factory.mktemp("other") / "good.intav"
    other.write_text(GOOD, encoding="utf-8")
    code, _, err = run("build", "good.intav", str(other))
    assert (code, err) == (2, "longneck: two pieces would be built into out/good; build them apart\n")


def test_explain_an_unknown_code(here: Path) -> None:
    code, out, err = run("explain", "bar-to-short")
    assert (code, out) == (2, "")
    assert err.startswith("longneck: there is no finding called bar-to-short; perhaps bar-too-short")


# --- build ---------------------------------------------------------------------------------------------


def test_every_piece_gets_its_folder_and_one_line_is_said(here: Path) -> None:
    write("book/1.intav", GOOD)
    write("2.intav", GOOD)
    assert passes("build", ".", "--out", "editions")
    for folder in ("editions/book/1", "editions/2"):
        assert sorted(path.name for path in Path(folder).iterdir()) == ARTEFACTS


def test_a_faulty_piece_is_built_as_far_as_it_can_be_read(here: Path) -> None:
    write("bad.intav", BAD)
    code, out, _ = run("build", "bad.intav")
    assert code == 1 and "fretted-diapason" in out
    assert sorted(path.name for path in Path("out/bad").iterdir()) == ARTEFACTS
    found = json.loads(Path("out/bad/findings.json").read_text(encoding="utf-8"))
    assert [finding["code"] for finding in found["findings"]] == ["fretted-diapason"]


def test_an_unreadable_piece_has_findings_and_no_old_edition(here: Path) -> None:
    write("a.intav", GOOD)
    run("build", "a.intav")
    write("a.intav", b"longneck 1\n\xff\n")
    assert run("build", "a.intav")[0] == 1
    assert sorted(path.name for path in Path("out/a").iterdir()) == ["build.json", "findings.json"]


def test_the_same_input_gives_the_same_bytes(here: Path) -> None:
    write("a.intav", WARNED)
    run("build", "a.intav", "--out", "x")
    run("build", "a.intav", "--out", "y")
    assert all((Path("x/a") / name).read_bytes() == (Path("y/a") / name).read_bytes() for name in ARTEFACTS)


def test_an_output_that_cannot_be_written_is_a_finding_and_stops_nobody(here: Path) -> None:
    write("a.intav", GOOD)
    write("b.intav", GOOD)
    write("out/a", "in the way")
    code, out, _ = run("build", ".")
    assert code == 1
    assert out.startswith("a.intav:1:1  error cannot-write  out/a cannot be written: File exists.\n")
    assert sorted(path.name for path in Path("out/b").iterdir()) == ARTEFACTS


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is read-only for root")
def test_a_read_only_folder(here: Path) -> None:
    write("a.intav", GOOD)
    Path("out").mkdir(mode=0o500)
    code, out, _ = run("build", "a.intav")
    assert code == 1 and "out/a cannot be written: Permission denied." in out


def test_an_internal_fault_is_one_finding_and_exit_code_3(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write("1.intav", GOOD)
    write("2.intav", GOOD.replace("Good", "Broken"))
    write("3.intav", BAD)
    check = pipeline.edition.leading.check_piece

    def breaks(source, inherited, *files):  # type: ignore[no-untyped-def]
        if "Broken" in source.text:
            raise KeyError("seventh course")
        return check(source, inherited, *files)

    monkeypatch.setattr(pipeline.edition.leading, "check_piece", breaks)
    monkeypatch.setattr(pipeline.cli.check, "crew", lambda *_: nullcontext())  # the work is done here, where it breaks
    code, out, err = run("check", ".")
    assert code == 3
    assert "2.intav:1:1  error internal-fault  longneck failed on this piece: KeyError: 'seventh course'" in out
    assert "3.intav:7:5  error fretted-diapason" in out
    assert "Traceback" in err and "Traceback" not in out


# --- tidy ----------------------------------------------------------------------------------------------


def test_tidy_writes_the_canonical_layout_once(here: Path) -> None:
    write("a.intav", GOOD.replace("2=7,4:0", "  2=7,4:0").replace("\n", "\r\n"))
    write("heading.intav", "longneck 1\npitch   415\n")
    assert run("tidy", "--check", ".") == (1, "a.intav  not tidy\nheading.intav  not tidy\n", "")
    assert b"\r\n" in Path("a.intav").read_bytes()
    assert run("tidy", ".") == (0, "a.intav  tidied\nheading.intav  tidied\n", "")
    assert Path("a.intav").read_text(encoding="utf-8") == GOOD
    assert run("tidy", "--check", ".") == (0, "", "")
    assert run("tidy", ".") == (0, "", "")


def test_tidy_keeps_what_it_cannot_read_and_refuses_bad_bytes(here: Path) -> None:
    write("a.intav", GOOD.replace("3:3", "3;3").replace("4=3:2", "  4=3:2"))
    write("b.intav", b"longneck 1\ntitle \xff\n")
    code, out, _ = run("tidy", ".")
    assert code == 1
    assert out.startswith("a.intav  tidied\nb.intav:2:7  error not-utf8")
    assert "4=3:2 3;3\n" in Path("a.intav").read_text(encoding="utf-8")
    assert Path("b.intav").read_bytes() == b"longneck 1\ntitle \xff\n"


# --- lists and help ------------------------------------------------------------------------------------


def test_instruments_with_their_pitches(here: Path) -> None:
    code, out, _ = run("instruments")
    assert code == 0
    # PS: R. Spencer, "Chitarrone, Theorbo and Archlute", Early Music 4/4 (1976); course list CP
    theorbo = "1:A3 2:E3 3:B3 4:G3 5:D3 6:A2 · 7:G2 8:F2 9:E2 10:D2 11:C2 12:B1 13:A1 14:G1"
    assert f"theorbo in A\n    {theorbo}\n" in out


def test_version_and_help(here: Path) -> None:
    assert run("--version") == (0, f"longneck {__version__}\n", "")
    code, out, _ = run("--help")
    assert code == 0
    for command in ("build", "check", "tidy", "instruments", "explain"):
        assert f"  {command} " in out
        assert run(command, "--help")[0] == 0


def test_the_first_piece_in_the_help_is_a_piece(here: Path) -> None:
    _, out, _ = run("--help")
    lines = out[out.index("      longneck 1") : out.index("  Then:")].splitlines()
    write("piece.intav", "".join(line[6:] + "\n" for line in lines).rstrip() + "\n")
    assert passes("check", "piece.intav")


def test_help_waits_for_no_heavy_library() -> None:
    code = """
import sys
sys.argv = ["longneck", "--help"]
from pipeline.cli import main
try:
    main()
finally:
    loaded = {name.partition(".")[0] for name in sys.modules}
    print(sorted(loaded & {"verovio", "lxml", "music21", "numpy", "rich"}))
"""
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert result.stdout.splitlines()[-1] == "[]"


# --- terminals -----------------------------------------------------------------------------------------


def test_colours_and_a_summary_at_a_terminal(here: Path) -> None:
    write("bad.intav", BAD)
    code, shown = at_terminal("check", "bad.intav")
    assert code == 1
    assert "\x1b[" in shown
    plain = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", shown).replace("\r\n", "\n")
    assert "bad.intav:7:5  error fretted-diapason" in plain
    assert plain.endswith("1 piece: 1 error.\n")


def test_no_color_at_a_terminal(here: Path) -> None:
    write("bad.intav", BAD)
    code, shown = at_terminal("check", "bad.intav", NO_COLOR="1")
    assert code == 1
    assert "\x1b" not in shown
    assert "1 piece: 1 error." in shown


def test_progress_at_a_terminal_only(here: Path) -> None:
    for number in range(5):
        write(f"{number}.intav", GOOD)
    code, shown = at_terminal("check", ".")
    assert code == 0
    assert "5/5" in shown
    assert shown.rstrip().endswith("5 pieces: nothing to report.")
    assert passes("check", ".")


def test_signs_that_would_command_the_terminal_are_not_passed_on(here: Path) -> None:
    write("evil.intav", GOOD.replace("3:3", "3:3\x1b[31m"))
    code, out, _ = run("check", "evil.intav")
    assert code == 1
    assert "\x1b" not in out


def test_names_of_chords_on_request(here: Path) -> None:
    write("song.intav", "longneck 1\ntitle T\ninstrument theorbo in A\nmetre C\n\n| 1=5:0,4:2,3:3,2:1 |||\n")
    assert run("build", "song.intav")[0] == 0
    assert "<harmony" not in Path("out/song/reduction.musicxml").read_text()
    assert run("build", "song.intav", "--chord-names", "--pdf", "--paper", "letter")[0] == 0
    assert "<harmony" in Path("out/song/reduction.musicxml").read_text()
    assert 'height="279.4mm"' in Path("out/song/edition-001.svg").read_text()
    assert Path("out/song/edition.pdf").read_bytes().startswith(b"%PDF")
