"""A piece with an upbeat, endings and two folios, proved in a browser: where addresses lead, what keys walk through,
what stays in its place."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from PIL import Image, ImageDraw

from pipeline.desk.proof.reading import read_marks
from pipeline.folder.batch import build_all
from pipeline.folder.files import discover
from pipeline.model.options import Options
from tests.browser.conftest import Page
from tests.browser.machine import complaints, sized
from tests.browser.test_sound import SPY

#: Twelve bars in print, of which the first is the second typed and the eleventh an ending; bars 7 on on another folio.
PIECE = """\
longneck 1
title A dance
source A = Trial book
facsimile 1r = scans/1r.png
facsimile 1v = scans/1v.png
systems 1r = 10-30, 40-60, across 5-95
systems 1v = 2 in 10-70
editor EB = E. B.
instrument theorbo in A
metre C
key D minor

&1r
|< 4=3:5
| 4=X,4:2,3:3 3:5 3:3 3:2
| 4=9,3:0 3:2 3:3 2:0
&
| 2=X,3:3 2:1
| 2=7,3:0 2:3
| 4=X,4:2 3:3!3:5"a 3:2 3:0
"a EB: digits confused
| 2=8,4:0 3:2 :
&1v
ending 1
| 4=X,4:2,3:3 3:5 3:3 3:2
ending 2
| 4=9,3:0 3:2 3:3 2:0
| 2=X,3:3 2:1
&
| 2=7,3:0 2:3
| 4=8:1,4:2 1:2 2=2:3
| 1=X,4:2,3:3 |||
"""
PIECE = PIECE.replace(" :\n", " ||.\n")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("desk")
    (folder / ".git").mkdir()
    (folder / "book" / "scans").mkdir(parents=True)
    (folder / "book" / "heading.intav").write_text("longneck 1\ncomposer Nobody\n", encoding="utf-8")
    (folder / "book" / "dance.intav").write_text(PIECE, encoding="utf-8")
    for name in ("1r", "1v"):
        image = Image.new("RGB", (600, 800), "ivory")
        for top in (80, 320):  # a system red, the other blue
            ImageDraw.Draw(image).rectangle((30, top, 570, top + 160), fill="red" if top == 80 else "blue")
        image.save(folder / "book" / "scans" / f"{name}.png")
    for done in build_all(discover([folder]), folder / "out", Options()):
        assert not done.fault, done.fault
    return folder / "out"


@pytest.fixture
def desk(driver: Any, built: Path) -> Iterator[Page]:
    sized(driver, 1440, 900)
    driver.get("about:blank")
    complaints(driver)
    page = Page(driver, built)
    page.open("dance")
    page.wait("return drawnSheets().length")
    yield page
    driver.get("about:blank")
    assert complaints(driver) == []


def test_b12_is_the_bar_with_that_number_in_print(desk: Page) -> None:
    labels = desk.run("return bars.map((bar) => bar.label)")
    assert labels[:3] == ["", "1", "2"] and labels[-1] == "12"
    desk.open("dance", "#b12")
    assert desk.run("return bars[barOf(now.chosen) - 1].label") == "12" and desk.chosen == "b13"
    desk.open("dance", "#m1")  # the upbeat has no number
    assert (desk.chosen, desk.told.split(" ")[0]) == ("b1", "Upbeat")
    desk.run("choose('b13', 'score')")
    assert desk.run("return location.hash") == "#b12"


@pytest.mark.parametrize("strange", ["#%", "#%E0%A4%A", "#b", "#m0", "#L0"])
def test_an_address_that_means_nothing_does_no_harm(desk: Page, strange: str) -> None:
    desk.open("dance", strange)
    assert desk.chosen == ""  # and nothing is complained of


def test_back_goes_back(desk: Page) -> None:
    for name in ("b2e1c4", "b3", "b5e1"):
        desk.run("choose(arguments[0], 'score')", name)
    desk.press("n", "n")  # steps by key are no places to go back to
    desk.driver.back()
    assert desk.wait("return now.chosen === 'b3'")
    desk.driver.back()
    assert desk.wait("return now.chosen === 'b2e1c4'")
    desk.driver.forward()
    assert desk.wait("return now.chosen === 'b3'")


def test_a_line_of_the_text_is_lit_and_has_an_address(desk: Page) -> None:
    line = desk.run("return bars[5].line")
    desk.open("dance", f"#L{line + 1}")
    assert desk.run("return document.querySelector('#text .chosen-line').id") == f"L{line + 1}"
    assert desk.chosen == "b6"  # the bar that it stands under
    desk.run(
        "document.getElementById(arguments[0]).dispatchEvent(new MouseEvent('click', {bubbles: true}))", f"L{line}"
    )
    assert desk.run("return location.hash") == f"#L{line}"


def test_keys_walk_the_lists_from_where_one_is(desk: Page) -> None:
    marked = desk.run("return stepped('hand').map(({ item }) => item.dataset.at)")
    places = desk.run("return arguments[0].map(orderOf)", marked)
    assert places == sorted(places) and len(marked) >= 1
    desk.run("choose('b12', 'score')")
    desk.press("H")
    before = [name for name, place in zip(marked, places, strict=True) if place < desk.run("return orderOf('b12')")]
    assert desk.chosen == before[-1]
    desk.run("choose('b1', 'score')")
    desk.press("h")
    assert desk.chosen == next(
        name for name, place in zip(marked, places, strict=True) if place > desk.run("return orderOf('b1')")
    )


def test_zooming_keeps_the_chosen_sign_in_its_place(desk: Page) -> None:
    desk.run("choose('b12e2', 'score'); bring(scorePane, sheetsOf('b12')[0].root.querySelector('.chosen'))")
    place = "const box = sheetsOf('b12')[0].root.querySelector('.chosen').getBoundingClientRect(); return box.top"
    desk.run("scorePane.scrollTop = Math.min(scorePane.scrollTop + 60, scorePane.scrollHeight)")
    pane = desk.run("const box = scorePane.getBoundingClientRect(); return [box.top, box.bottom]")
    before = desk.run(place)
    assert pane[0] <= before <= pane[1]
    for key in "+++--":
        desk.press(key)
        assert abs(desk.run(place) - before) < 6  # but for what a zoomed sign is larger itself


def test_the_source_opens_at_the_folio_of_the_bar_and_follows_what_is_heard(desk: Page) -> None:
    here = "const it = document.querySelector('#source figure.here figcaption'); return it && it.textContent"
    desk.run("choose('b12', 'score')")
    desk.press("6")
    assert desk.run(here).startswith("Folio 1v")
    box = desk.run("return document.querySelector('#source figure.here').getBoundingClientRect().top")
    assert box < 900
    desk.run("sounding('b3e1')")
    assert desk.run(here).startswith("Folio 1r")
    desk.run("unsounding()")


def test_what_is_pressed_or_chosen_keeps_its_colours_under_the_mouse(desk: Page) -> None:
    from selenium.webdriver.common.action_chains import ActionChains  # noqa: PLC0415

    desk.press("4")
    desk.run("choose('b2e2c3', '')")
    for script in (
        "return document.querySelector('#panes [aria-pressed=true]')",
        "return document.querySelector('#text .chosen')",
    ):
        ActionChains(desk.driver).move_to_element(desk.run(script)).perform()
        look = desk.run(
            f"const node = (() => {{ {script} }})(), look = getComputedStyle(node);"
            "return [node.matches(':hover'), look.backgroundColor, look.color]"
        )
        assert look == [True, "rgb(31, 92, 102)", "rgb(255, 255, 255)"]  # the accent of the house, and its paper


def test_findings_say_their_bar(desk: Page) -> None:
    said = desk.run("return [...document.querySelectorAll('#findings .where .go')].map((each) => each.textContent)")
    assert said and all(each.startswith(("Bar ", "Upbeat", "Line ")) for each in said)
    assert not [each for each in said if each.startswith("Line ") and int(each.split()[1].strip(",")) > 10]


def test_tabs_with_nothing_in_them_are_not_shown(desk: Page) -> None:
    shown = desk.run(
        "return [...document.querySelectorAll('#panes button')].filter((each) => each.checkVisibility())"
        ".map((each) => each.textContent)"
    )
    assert "Misprints" not in " ".join(shown) and " 0" not in " ".join(shown)


def test_on_paper_nothing_is_folded_and_captions_stand_by_their_images(desk: Page) -> None:
    printed = base64.b64decode(desk.driver.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})["data"])
    sheets = [sheet.get_textpage().get_text_range() for sheet in pypdfium2.PdfDocument(printed)]
    assert any("composer Nobody" in sheet for sheet in sheets)  # what is inherited
    document = pypdfium2.PdfDocument(printed)
    for number, sheet in enumerate(sheets):
        images = [one for one in document[number].get_objects() if one.type == 3]
        assert len(images) == sheet.count("Folio 1")


def test_a_long_word_pushes_nothing_out(desk: Page) -> None:
    sized(desk.driver, 390, 800)
    desk.run("document.querySelector('h1').textContent = 'W'.repeat(200);"
             "document.querySelector('#hand .item p:nth-of-type(2)').textContent = 'w'.repeat(300)")  # fmt: skip
    desk.press("4")
    assert desk.run("return [document.documentElement.scrollWidth, document.getElementById('hand').scrollWidth]") == [
        390,
        desk.run("return document.getElementById('hand').clientWidth"),
    ]


def colour(desk: Page, selector: str) -> tuple[int, int, int]:
    """What is seen in the middle of an element."""
    x, y = desk.run(
        "const box = document.querySelector(arguments[0]).getBoundingClientRect();"
        "return [box.left + box.width / 2, box.top + box.height / 2]",
        selector,
    )
    with Image.open(io.BytesIO(desk.driver.get_screenshot_as_png())) as seen:
        red, green, blue = seen.convert("RGB").getpixel((int(x), int(y)))
    return red, green, blue


def test_the_strip_of_the_system_follows(desk: Page) -> None:
    desk.run("choose('b3', 'score')")
    desk.press("s")
    desk.wait("return document.getElementById('strip-image').naturalWidth === 600")
    assert desk.run("return document.getElementById('strip-said').textContent") == "Folio 1r, bars upbeat–2"
    assert colour(desk, "#strip .cut") == (255, 0, 0)
    height, width = desk.run(
        "const cut = document.querySelector('#strip .cut'); return [cut.clientHeight, cut.clientWidth]"
    )
    assert height == pytest.approx(width * 160 / 540, rel=0.02)  # 20 % of 800, 90 % of 600
    assert width == desk.run("return document.querySelector('.strip-frame').clientWidth")  # and no scroll bar
    desk.press("N")
    assert desk.run("return document.getElementById('strip-said').textContent") == "Folio 1r, bars 3–6"
    assert colour(desk, "#strip .cut") == (0, 0, 255)
    desk.run("sounding('b9e1')")  # and what is heard
    assert desk.run("return document.getElementById('strip-said').textContent").startswith("Folio 1v, bars 7–")
    desk.run("unsounding()")
    desk.press("s")
    assert not desk.run("return document.getElementById('strip').checkVisibility()")


def test_folios_are_enlarged_and_lead_to_their_bars(desk: Page) -> None:
    desk.run("choose('b5', 'score')")
    desk.press("6")
    desk.wait("return document.querySelector('#source img').naturalWidth === 600")
    zone, picture = desk.run(
        "return ['#source .zone', '#source img'].map((each) => { const box = document.querySelector(each)"
        ".getBoundingClientRect(); return [box.top, box.height] })"
    )
    assert (zone[0] - picture[0]) / picture[1] == pytest.approx(0.4, abs=0.01)
    assert zone[1] / picture[1] == pytest.approx(0.2, abs=0.01)
    desk.click("return document.getElementById('nearer')")
    assert desk.run("return document.querySelector('#source img').width") == pytest.approx(
        1.5 * desk.run("return document.querySelector('#source .wide').clientWidth"), abs=2
    )
    desk.run(
        "const box = document.querySelector('#source img').getBoundingClientRect();"
        "document.querySelector('#source img').dispatchEvent(new MouseEvent('click', {bubbles: true,"
        "clientX: box.left + box.width * 0.9, clientY: box.top + box.height * 0.2}))"
    )
    assert desk.run("return bars[barOf(now.chosen) - 1].label") == "2"  # the last of three in the first system


def test_one_sign_both_octaves_and_a_loop_are_heard(desk: Page) -> None:
    desk.run(SPY + "document.getElementById('pace').value = 240; choose('b2e1c4', '')")
    desk.press("i")
    assert desk.run("return window.struck.length") == 1
    desk.run("hush(); window.struck = []; choose('b2e1', '')")
    desk.press("i")
    assert desk.run("return window.struck.length") == 3  # X,4:2,3:3
    desk.run("hush(); window.struck = []")
    asked = desk.run(
        "const it = all('#hand .item').find((each) => each.dataset.octaves); return it ? it.dataset.at : ''"
    )
    assert asked
    desk.run("choose(arguments[0], '')", asked)
    desk.press("b")
    assert desk.run("return window.struck.length") == 2
    desk.run("hush(); window.struck = []")
    desk.click("return document.getElementById('other')")
    assert desk.run("return [window.struck.length, now.other.has(now.chosen)]") == [1, True]
    desk.run("hush(); window.struck = []; choose('b4', '')")
    desk.press("r", "l")
    first = desk.run("return window.struck.length")
    assert desk.wait("return window.struck.length >= 2 * arguments[0]", first)
    desk.press("x", "r")
    assert desk.run("return playing === null")


def test_an_answer_is_shown_and_copied(desk: Page) -> None:
    desk.driver.execute_cdp_cmd("Browser.grantPermissions", {"permissions": ["clipboardReadWrite"]})
    desk.press("4")
    desk.run("document.querySelector('.answer').open = true")
    shown = desk.run("return document.querySelector('.answer pre').textContent")
    assert shown.splitlines()[-1].endswith(("> octave up", "> octave down"))
    desk.click("return document.querySelector('.answer .copy')")
    assert desk.wait("return document.querySelector('.answer .copy').textContent !== 'Copy'")
    assert desk.driver.execute_async_script(
        "const done = arguments[arguments.length - 1]; navigator.clipboard.readText().then(done, () => done('no'))"
    ) in (shown, "no")


def with_marks(desk: Page, read: list[int], note: str) -> None:
    """Open the page as it is built where the file beside the piece has these bars read, and a note on the second."""
    page = next(desk.out.rglob("dance/proof.html"))
    script = (
        "return JSON.stringify({read: arguments[0].map((bar) => facts.contents[bar - 1]), notes: arguments[1] ?"
        "[{bar: '1', content: facts.contents[1], text: arguments[1]}] : []})"
    )
    desk.open("dance")
    said = desk.run(script, read, note)
    other = page.with_name("marked.html")
    whole = page.read_text(encoding="utf-8")
    assert whole.count('"reading":null') == 1
    other.write_text(whole.replace('"reading":null', f'"reading":{said}'), encoding="utf-8")
    desk.open(str(other.relative_to(desk.out)))


def test_marks_of_the_browser_and_of_the_file_are_never_chosen_between_in_silence(desk: Page) -> None:
    apart = "return document.getElementById('apart').hidden ? '' : document.getElementById('apart-said').textContent"
    marked = "return [[...marks.read].map((each) => facts.contents.indexOf(each) + 1).sort((a, b) => a - b),"
    marked += "[...marks.notes.values()].map((each) => each.text)]"
    desk.run("localStorage.clear()")
    with_marks(desk, [1, 2], "dot?")
    assert desk.run(marked) == [[1, 2], ["dot?"]] and desk.run(apart) == ""  # the browser knew nothing
    desk.run("choose('b3', ''); markRead(); choose('b1', ''); markRead()")
    with_marks(desk, [1, 2], "dot?")
    assert desk.run(marked) == [[2, 3], ["dot?"]] and desk.run(apart) == ""  # nothing new in the file
    with_marks(desk, [1, 2, 5], "a dot")
    assert desk.run(marked) == [[2, 3], ["dot?"]]  # nothing is lost before the reader has said what to do
    assert desk.run(apart) == (
        "The file beside the piece has other marks than this browser: "
        "2 bars are read there only, 1 bar is read here only, 1 note is other there."
    )
    assert "file differs" in desk.run("return document.querySelector('#panes [data-pane=reading]').textContent")
    desk.press("7")
    desk.click("return document.getElementById('apart-both')")
    assert desk.run(marked) == [[1, 2, 3, 5], ["dot?\na dot"]] and desk.run(apart) == ""
    with_marks(desk, [1, 2, 5], "a dot")
    assert desk.run(apart) == ""  # said once
    with_marks(desk, [4], "")
    desk.press("7")
    desk.click("return document.getElementById('apart-file')")
    assert desk.run(marked) == [[4], []] and desk.run(apart) == ""
    desk.run("localStorage.clear()")


def test_bars_are_marked_as_read_and_noted(desk: Page, tmp_path: Path) -> None:
    desk.run("localStorage.clear()")
    desk.open("dance", "#b2")
    desk.press("d", "7")
    said = "return document.getElementById('progress').textContent"
    assert desk.run(said) == "1 of 13 bars read; left: upbeat–1, 3–12."
    assert desk.run("return document.querySelectorAll('#text .read').length") == 1
    desk.press("u")
    assert desk.told.startswith("Bar 3")
    desk.press("e")
    desk.press("dot?")
    assert desk.run("return document.querySelector('#notes .note-text').textContent") == "dot?"
    desk.open("dance")  # it is kept
    assert desk.run(said).startswith("1 of 13")
    saved = desk.run("return marksAsFile()")
    (tmp_path / "dance.read.json").write_text(saved, encoding="utf-8")
    assert read_marks(saved.encode()).notes[0].text == "dot?"
    desk.run("localStorage.clear()")
    desk.open("dance")
    assert desk.run(said) == "0 of 13 bars read."
    desk.run("document.getElementById('import').hidden = false")
    desk.driver.find_element("id", "import").send_keys(str(tmp_path / "dance.read.json"))
    assert desk.wait("return document.getElementById('kept').textContent") == "Taken from dance.read.json."
    assert desk.run("return [marks.read.size, marks.notes.size]") == [1, 1]
    (tmp_path / "wrong.json").write_text('{"form": 7}', encoding="utf-8")
    desk.driver.find_element("id", "import").send_keys(str(tmp_path / "wrong.json"))
    assert "another version" in desk.wait(
        "const it = document.getElementById('kept').textContent; return it.includes('wrong') && it"
    )
    assert desk.run("return marks.read.size") == 1  # nothing is lost by it
    desk.run("localStorage.clear()")
