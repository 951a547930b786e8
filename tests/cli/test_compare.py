"""``longneck compare``: exit codes, what is said, folders, page and JSON, files that are no good."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path

import jsonschema
import pytest
from lxml import html

from tests.cli.asked import run as asked
from tests.cli.asked import write

ROOT = Path(__file__).parent.parent.parent
GOOD = "longneck 1\ntitle Good\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"
OTHER = GOOD.replace("3:2 3:3", "3:2 3:5").replace("|||", "||")


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


run = partial(asked, "compare")


def test_the_same_music() -> None:
    write("a.intav", GOOD)
    write("b.intav", GOOD.replace(" 4=3:2 3:3", "  4=3:2   3:3 ; why").replace("7,4:0,3:0", "3:0,7,4:0"))
    assert run("a.intav", "b.intav") == (0, "a.intav → b.intav\n    The same music.\n", "")


def test_differences_bar_by_bar() -> None:
    write("a.intav", GOOD)
    write("b.intav", OTHER)
    assert run("a.intav", "b.intav") == (
        1,
        "a.intav → b.intav\n"
        "    Bar 1  (line 6)\n"
        "        event 3, course 3  fret 3 → fret 5   sounds D4 → E4\n"
        "    Bar 2  (line 7)\n"
        "        at the end of the bar  final bar line → double bar line\n"
        "    2 differences: 1 bar line, 1 stop.\n",
        "",
    )


def test_descriptions_and_breaks_do_not_count() -> None:
    write("a.intav", GOOD)
    write("b.intav", GOOD.replace("title Good", "title Better").replace("\n\n|", "\n\n&3r\n|"))
    code, out, _ = run("a.intav", "b.intav")
    assert code == 0
    assert "title: Good → Better" in out and "page 3r" in out and "The same music." in out


def test_readings_on_request() -> None:
    write("a.intav", GOOD)
    write("b.intav", GOOD.replace("3:2 3:3", '3:2"a 3:3').replace("\n| 1=8", '\n"a > voice 2\n| 1=8'))
    assert "voice" not in run("a.intav", "b.intav")[1].replace("pin: voice 2", "")
    assert "voice 1 (upper) → voice 2" in run("a.intav", "b.intav", "--readings")[1]


def test_errors_are_said_and_compared_to_the_letter() -> None:
    write("a.intav", GOOD.replace("3:3", "rubbish"))
    assert run("a.intav", "a.intav")[0] == 0
    write("b.intav", GOOD.replace("3:3", "waste"))
    code, out, _ = run("a.intav", "b.intav")
    assert code == 1
    assert "a.intav has 1 error; what cannot be read is compared letter by letter." in out
    assert "rubbish → waste" in out


def test_a_line_that_cannot_be_read_is_not_the_same() -> None:
    write("a.intav", f"{GOOD}what is this\n")
    write("b.intav", f"{GOOD}what is that\n")
    code, out, _ = run("a.intav", "b.intav")
    assert code == 1 and "what is this → what is that" in out


def test_folders_by_path() -> None:
    for name, text in (("a/x/1", GOOD), ("b/x/1", OTHER), ("a/2", GOOD), ("b/2", GOOD), ("a/3", GOOD), ("b/4", GOOD)):
        write(f"{name}.intav", text)
    code, out, _ = run("a", "b")
    assert code == 1
    assert out.startswith("a/x/1.intav → b/x/1.intav\n")
    assert out.endswith("a/3.intav: only in a\nb/4.intav: only in b\n2 pieces compared: 1 differs.\n")


def test_folders_with_the_same_music() -> None:
    write("a/1.intav", GOOD)
    write("b/1.intav", f"{GOOD}\n")
    assert run("a", "b") == (0, "1 piece compared: the same music.\n", "")


def test_folders_in_which_something_cannot_be_compared() -> None:
    write("a/1.intav", GOOD)
    write("b/2.intav", GOOD)
    code, out, _ = run("a", "b")
    assert code == 1
    assert out.endswith("\nNo piece has the same path in both folders: nothing was compared.\n")
    write("b/1.intav", b"\xff\xfe")
    write("a/2.intav", OTHER)
    assert run("a", "b")[1].endswith("1 piece compared: 1 differs, 1 cannot be read.\n")


def test_inherited_headings_count() -> None:
    for name, scale in (("a", ""), ("b", "diapasons 8 = F#2\n")):
        write(f"{name}/heading.intav", f"longneck 1\ninstrument theorbo in A\n{scale}")
        write(f"{name}/1.intav", GOOD.replace("instrument theorbo in A\n", ""))
    code, out, _ = run("a", "b")
    assert code == 1
    assert "course 8  F2 → F#2   only the tuning differs: 1 stop sounds different, in bar 2" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["a.intav", "none.intav"], "there is no none.intav"),
        (["a.intav", "folder"], "give two pieces, or two folders"),
        (["a.intav", "notes.txt"], "notes.txt is not a piece: names of pieces end in .intav"),
        (["a.intav", "empty"], "give two pieces, or two folders"),
        (["folder", "empty"], "there is no piece in empty"),
        (["a.intav", "heading.intav"], "there is no piece in heading.intav"),
        (
            ["a.intav", "a.intav", "--page", "no/where.html"],
            "no/where.html cannot be written: there is no folder no",
        ),
    ],
)
def test_wrong_usage(arguments: list[str], said: str) -> None:
    for name in ("a.intav", "folder/1.intav", "notes.txt", "heading.intav"):
        write(name, GOOD)
    Path("empty").mkdir()
    code, _, err = run(*arguments)
    assert (code, err) == (2, f"longneck: {said}\n")


def test_a_file_that_cannot_be_read_at_all() -> None:
    write("a.intav", GOOD)
    write("b.intav", GOOD.encode("utf-16"))
    code, out, _ = run("a.intav", "b.intav")
    assert code == 1 and "b.intav:1:1  error not-utf8" in out


def test_json_by_its_schema() -> None:
    for name, text in (("a/1", GOOD), ("b/1", OTHER), ("b/2", GOOD)):
        write(f"{name}.intav", text)
    assert run("a", "b", "--json", "c.json")[0] == 1
    document = json.loads(Path("c.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, json.loads((ROOT / "schemas/comparison.schema.json").read_text(encoding="utf-8")))
    (piece,) = document["pieces"]
    first, second = piece["differences"]
    assert first["message"] == "event 3, course 3: fret 3 → fret 5 (sounds D4 → E4)"
    assert first["one"]["place"] == {"line": 6, "column": 21, "end": 24}
    assert (second["kind"], second["group"], second["one"]["index"]) == ("bar line", "music", 2)
    assert document["only"] == {"one": [], "two": ["b/2.intav"]}


def test_the_page_holds_all_and_no_markup_from_outside() -> None:
    write("a.intav", GOOD.replace("title Good", "title <b onclick=x>Good</b>"))
    write("b.intav", OTHER.replace("3:5", '3:5"a').replace("\n| 1=8", '\n"a EB: <script>alert(1)</script>\n| 1=8'))
    assert run("a.intav", "b.intav", "--page", "c.html")[0] == 1
    data = Path("c.html").read_bytes()
    page = html.fromstring(data)
    assert not page.xpath("//script") and not page.xpath("//b")
    assert page.xpath("//h2")[0].text == "<b onclick=x>Good</b>"
    cells = [cell.text_content() for cell in page.xpath("//td")]
    assert "fret 3" in cells and "note EB: <script>alert(1)</script>" in cells
    run("a.intav", "b.intav", "--page", "c.html")
    assert Path("c.html").read_bytes() == data
