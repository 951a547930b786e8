"""``longneck propose``: lists, accepts, refuses; exit codes; files changed whole or not at all."""

from __future__ import annotations

import re
import stat
from functools import partial
from pathlib import Path

import pytest

from tests.cli.asked import run as asked

HEAD = "longneck 1\ntitle Trial\neditor EB = E. B.\ninstrument theorbo in A\nmetre C\n\n"
GROUND = """\
| 4=X,4:2,3:3,2:1 8=3:5 3:6 4=3:5 3:3
| 4=11,4:0,3:5 8=3:3 3:1 4=3:3 3:5
| 4=8,4:2,3:1 8=3:3 3:5 4=3:3 3:1
| 2=13,4:2,3:2,2:0 4=13,4:2,3:2 4:2
"""
TWICE = HEAD + GROUND * 3 + GROUND.replace("11,4:0,3:5", "11,4:0,3:3").replace("8=3:5 3:6", "3:5 3:6")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    Path("ground.intav").write_bytes(TWICE.encode())
    Path("right.intav").write_text(HEAD + GROUND * 3, encoding="utf-8")


run = partial(asked, "propose")


def names(shown: str) -> dict[str, str]:
    """What would be typed → the name of the proposal."""
    found = re.findall(r"^ {4}([0-9a-z]{5,8})  (.*)  ->  (.*)  \w[\w ]* \(\d+ %\)$", shown, re.M)
    return {proposed: name for name, _, proposed in found}


def test_lists_and_changes_nothing() -> None:
    before = Path("ground.intav").read_bytes()
    code, shown, said = run(".")
    assert (code, said) == (0, "")
    assert "ground.intav:19:19  bar 13  rhythm sign missing" in shown
    assert "ground.intav:20:12  bar 14  figure confused" in shown
    assert {"8!=3:5", "4=11,4:0,3:5!3:3"} <= set(names(shown))
    assert "right.intav" not in shown
    assert Path("ground.intav").read_bytes() == before
    assert run(".")[1] == shown


def test_accepts_one_and_keeps_mode_and_the_rest() -> None:
    file = Path("ground.intav")
    file.chmod(0o640)
    name = names(run("ground.intav")[1])["4=11,4:0,3:5!3:3"]
    code, shown, said = run("ground.intav", "--accept", name)
    assert (code, said) == (0, "")
    assert shown == f"ground.intav:20  {name}  4=11,4:0,3:3  ->  4=11,4:0,3:5!3:3\n"
    text = file.read_text(encoding="utf-8")
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    (note,) = [line for line in text.splitlines() if line.startswith('"a EB: ')]
    assert text.replace(f"{note}\n", "").replace('3:5!3:3"a', "3:3") == TWICE
    assert "4=11,4:0,3:5!3:3" not in names(run(".")[1])


def test_accepts_several_at_once_and_names_hold() -> None:
    offered = names(run(".")[1])
    one, two = offered["4=11,4:0,3:5!3:3"], offered["8!=3:5"]
    assert run(".", "--accept", one)[0] == 0
    assert names(run(".")[1])["8!=3:5"] == two
    Path("ground.intav").write_bytes(TWICE.encode())
    assert run(".", "--accept", one, "--accept", two)[0] == 0
    assert run(".") == (0, "", "")


def test_refusals_change_nothing() -> None:
    offered = names(run(".")[1])
    known = offered["4=11,4:0,3:5!3:3"]
    at_one_place = [name for proposed, name in offered.items() if proposed.startswith("8!=") or "16" in proposed]
    cases = [
        (("--accept", "zzzzz"), "there is no proposal zzzzz"),
        (("--accept", known, "--accept", "zzzzz"), "there is no proposal zzzzz"),
        (("--accept", known, "--by", "XY"), "no editor XY is declared; the declared editors are EB"),
        (("--by", "EB"), "--by needs --accept"),
    ]
    if len(at_one_place) > 1:
        both = [argument for name in at_one_place[:2] for argument in ("--accept", name)]
        cases.append((tuple(both), "mend the same place"))
    for arguments, said in cases:
        code, shown, errors = run(".", *arguments)
        assert (code, shown) == (2, "")
        assert said in errors
        assert Path("ground.intav").read_bytes() == TWICE.encode()


def test_a_name_is_gone_when_its_bar_has_changed() -> None:
    name = names(run(".")[1])["4=11,4:0,3:5!3:3"]
    Path("ground.intav").write_text(TWICE.replace("11,4:0,3:3", "11,4:0,3:2"), encoding="utf-8")
    code, _, said = run("ground.intav", "--accept", name)
    assert code == 2
    assert "list the proposals again" in said


def test_files_that_cannot_be_read_do_not_stop_the_others() -> None:
    Path("bad.intav").write_bytes(b"longneck 1\n| 4=\xff\n")
    code, shown, _ = run(".")
    assert code == 1
    assert "bad.intav:2" in shown
    assert "4=11,4:0,3:5!3:3" in names(shown)
    assert run("nowhere.intav")[0] == 2


def test_line_ends_and_a_byte_order_mark_stay() -> None:
    text = "\ufeff" + TWICE.replace("\n", "\r\n")
    Path("ground.intav").write_bytes(text.encode())
    offered = names(run("ground.intav")[1])
    assert run("ground.intav", "--accept", offered["8!=3:5"])[0] in (0, 1)
    changed = Path("ground.intav").read_bytes().decode()
    assert changed.startswith("\ufeff")
    assert changed.count("\r\n") == changed.count("\n") == text.count("\n") + 1
    assert '8!"a=3:5' in changed


def test_a_piece_is_found_from_the_top_of_the_collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a proof page names it, in whatever folder of the collection one stands."""
    (tmp_path / ".git").mkdir(exist_ok=True)
    (tmp_path / "book" / "other").mkdir(parents=True)
    text = "longneck 1\ninstrument theorbo in A\nmetre C\n\n| 1=7 |||\n"
    (tmp_path / "book" / "one.intav").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path / "book" / "other")
    assert asked("propose", "book/one.intav")[0] == 0
    code, _, said = asked("propose", "book/two.intav")
    assert code == 2 and "there is no book/two.intav" in said
