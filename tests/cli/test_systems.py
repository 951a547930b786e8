"""``longneck systems``: what is proposed for the images of a piece, and what it says where it sees nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import Image

from tests.cli.asked import run, write
from tests.desk.test_systems import page

HEAD = "longneck 1\ntitle A\nfacsimile 4r = 4r.png\ninstrument theorbo in A\nmetre C\n\n&4r\n"


@pytest.fixture(autouse=True)
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    Image.fromarray(page(3)).save("4r.png")


def said(music: str, extra: str = "") -> tuple[int, list[str]]:
    write("a.intav", HEAD.replace("instrument", f"{extra}instrument") + music)
    code, out, _ = run("systems", "a.intav")
    return code, out.splitlines()


def test_the_line_can_be_copied_into_the_heading_and_is_right() -> None:
    code, lines = said("| 1=7\n&\n| 1=8\n&\n| 1=7 |||\n")
    assert (code, lines[0]) == (0, "a.intav  f. 4r, 4r.png: 3 systems seen, as in the text")
    assert lines[1].startswith("    systems 4r = ")
    write("a.intav", Path("a.intav").read_text().replace("instrument", f"{lines[1].strip()}\ninstrument"))
    assert run("check", "a.intav")[:2] == (0, "1 piece: nothing to report.\n")
    assert run("systems", "a.intav")[1].splitlines()[0].endswith("; the heading has such a line")


def test_more_systems_than_the_text_has_are_told() -> None:
    code, lines = said("| 1=7\n&\n| 1=8 |||\n")
    assert (code, lines[0]) == (0, "a.intav  f. 4r, 4r.png: 3 systems seen, but the text has 2")


def test_a_page_on_which_nothing_is_seen_is_shared_out() -> None:
    Image.new("L", (300, 400), 200).save("4r.png")
    code, lines = said("| 1=7\n&\n| 1=8 |||\n")
    assert code == 0
    assert lines == [
        "a.intav  f. 4r, 4r.png: no systems seen; the text has 2, in equal shares",
        "    systems 4r = 2 in 5-95",
    ]


def test_an_image_that_breaks_off_is_no_fault_of_the_program() -> None:
    data = Path("4r.png").read_bytes()
    Path("4r.png").write_bytes(data[: len(data) // 2])
    code, lines = said("| 1=7 |||\n")
    assert code == 0
    assert "it cannot be opened (" in lines[0] and lines[1] == "    systems 4r = 1 in 5-95"


def test_a_piece_without_images_has_none() -> None:
    write("b.intav", "longneck 1\ninstrument theorbo in A\nmetre C\n\n| 1=7 |||\n")
    assert run("systems", "b.intav")[:2] == (0, "No piece names an image that can be looked at.\n")
