"""From the score to the text and back, by mouse and by key; from lists to both."""

from __future__ import annotations

from pathlib import Path

from tests.browser.conftest import Page

#: What is highlighted in the text; how many boxes stand in the drawn sheets; an element of the first page.
TEXT = "return [...document.querySelectorAll('#text .chosen')].map((each) => each.textContent).join('')"
BOXES = "return drawnSheets().flatMap((sheet) => [...sheet.root.querySelectorAll('.chosen')]).length"
DRAWN = "return sheets.get('edition 1').root.querySelector(`[id='${arguments[0]}']`)"
SEEN = """const box = arguments[0].getBoundingClientRect(), pane = arguments[1].getBoundingClientRect();
return box.top >= pane.top && box.bottom <= pane.bottom"""


def test_figures_and_notes_lead_to_the_text(page: Page) -> None:
    page.open("02-ground")
    page.wait("return drawnSheets().length")
    page.click(DRAWN, "t-b1e1c10")
    assert (page.chosen, page.run(TEXT), page.run(BOXES)) == ("b1e1c10", "X", 2)  # the figure and the note
    # Theorbo in A: the tenth course is D2 (CP).
    assert page.told.startswith("Bar 1, event 1, course 10 · D2, voice ")
    assert page.run("return location.hash") == "#b1e1c10"
    page.click(DRAWN + ".querySelector('.notehead')", "n-b2e2c3")
    assert (page.chosen, page.run(TEXT)) == ("b2e2c3", "3:1")
    page.click(DRAWN + ".querySelector('.tabDurSym')", "g-b1e2")
    assert (page.chosen, page.run(TEXT)) == ("b1e2", "4.=3:5")


def test_a_click_beside_a_note_means_the_note_and_one_in_a_bar_the_bar(page: Page) -> None:
    page.open("02-ground")
    page.wait("return drawnSheets().length")
    page.run(
        "const box = (() => {" + DRAWN + "})().getBoundingClientRect();"
        "const host = sheets.get('edition 1').root.querySelector('svg');"
        "host.dispatchEvent(new MouseEvent('click', {bubbles: true, composed: true, clientX: box.right + "
        "6, clientY: (box.top + box.bottom) / 2}))",
        "t-b3e2c4",
    )
    assert page.chosen == "b3e2c4"
    page.run(
        DRAWN
        + ".querySelector('path').dispatchEvent(new MouseEvent('click', {bubbles: true, clientX: -99, clientY: -99}))",
        "m4",
    )
    assert page.chosen == "b4"
    assert page.run(BOXES) == 1  # round its staves


def test_a_word_of_the_text_leads_to_the_score(page: Page) -> None:
    page.open("02-ground")
    page.run("stretches(0, signs.get('b18e2').line)")
    page.click("return stretches(0, signs.get('b18e2').line).find((each) => each.names.includes('b18e2c4')).node")
    assert page.chosen == "b18e2c4"
    page.wait("return drawnSheets().some((sheet) => sheet.root.querySelector('.chosen'))")
    box = page.run("return drawnSheets().flatMap((sheet) => [...sheet.root.querySelectorAll('.chosen')])[0]")
    assert page.run(SEEN, box, page.run("return scorePane"))


def test_a_line_under_a_bar_leads_to_the_bar_and_a_sung_note_to_itself(page: Page) -> None:
    page.open("06-aria")
    line = page.run("return signs.get('v-b2n1').line")
    page.click("return document.querySelector(`#L${arguments[0] + 1} code`)", line)  # chord letters under it
    assert page.chosen == "b2"
    page.run("choose('v-b2n1', '')")
    assert page.run(TEXT) == "4.=C5"
    page.press("v")
    assert page.run("return now.view") == "reduction"
    assert page.wait("return sheets.get('reduction 1').root.querySelector('.chosen') !== null")
    page.run(
        "const head = sheets.get('reduction 1').root.querySelector('[id=v-b1n1] .notehead *');"
        "head.dispatchEvent(new MouseEvent('click', {bubbles: true, composed: true}))"
    )
    assert page.chosen == "v-b1n1"


def test_a_word_under_a_note_is_lit_in_both(page: Page) -> None:
    page.open("06-aria")
    page.wait("return drawnSheets().length")
    typed = page.run("return typedAt(signs.get('v-b2n1w2'))")
    assert typed == "not-"  # the second stanza under the first note of bar 2
    page.run("stretches(0, signs.get('v-b2n1w2').line)")
    page.click("return stretches(0, signs.get('v-b2n1w2').line).find((each) => each.names.includes('v-b2n1w2')).node")
    assert page.chosen == "v-b2n1w2" and "stanza 2: “not”" in page.told
    lit = "return drawnSheets().flatMap((sheet) => [...sheet.root.querySelectorAll('.chosen')])[0].nextSibling"
    assert page.run(f"{lit}.textContent").startswith("not")
    page.click("return sheets.get('edition 1').root.querySelector('[id=v-b2n1]').querySelectorAll('.verse text')[0]")
    assert page.chosen == "v-b2n1w1" and page.run("return location.hash") == "#v-b2n1w1"


def test_keys_step_through_everything(page: Page) -> None:
    page.open("02-ground")
    page.press("n")
    assert page.chosen == "b1e1"  # a chord first as a whole
    page.press("j", "j")
    assert page.chosen == "b1e1c4"
    page.press("n")
    assert page.chosen == "b1e2c3"  # of an event with one stop the stop
    page.press("N")
    assert page.chosen == "b2e1"
    page.press("p")
    assert page.chosen == "b1e3c3"
    page.press("P")
    assert page.chosen == "b1e1"
    page.press("p")
    assert page.chosen == "b1e1"  # nothing before the first
    seen = page.run(
        "const seen = []; for (let last = ''; now.chosen !== last; stepEvent(1)) { last = now.chosen; "
        "seen.push(last); } return seen"
    )
    events = page.run(
        "return bars.flatMap((bar) => bar.signs).filter((sign) => isEvent(sign.id)).map((sign) => sign.id)"
    )
    assert page.run("return arguments[0].map(eventOf)", seen) == events  # each event once, in order


def test_arrows_step_in_score_and_text_and_letters_can_be_switched_off(page: Page) -> None:
    right, down, escape = "\ue014", "\ue015", "\ue00c"
    page.open("02-ground")
    page.run("textPane.focus()")
    found = []
    for key in (right, right, down):
        page.press(key)
        found.append(page.chosen)
    # An event; the next, which is one stop; below its last stop the next bar.
    assert found == ["b1e1", "b1e2c3", "b2e1"]
    page.press(escape)
    assert (page.chosen, page.run("return location.hash")) == ("", "")
    page.press("?")
    assert page.run("return document.getElementById('help').open")
    assert "next and previous finding" in page.run("return document.getElementById('help').textContent")
    page.click("return document.getElementById('letters')")
    page.press(escape)
    assert not page.run("return document.getElementById('help').open")
    page.press("n")
    assert page.chosen == ""
    page.run("scorePane.focus()")
    page.press(right)
    assert page.chosen == "b1e1"
    page.run("document.getElementById('letters').click()")


def test_addresses_lead_to_signs_bars_and_lines(page: Page) -> None:
    page.open("02-ground", "#b5")
    assert page.chosen == "b5"
    page.open("02-ground", "#b5e2c3")
    assert page.chosen == "b5e2c3"
    for nothing in ("#b999", "#nothing", "#%00", "#b5e99"):
        page.open("02-ground", nothing)
        assert page.chosen == ""


def test_other_pages_lead_to_a_page_and_back(page: Page) -> None:
    page.open("index.html")
    rows = page.run("return [...document.querySelectorAll('tbody tr')].map((row) => row.querySelector('th').innerText)")
    assert any("Passacaglia sopra quattro note" in row for row in rows)
    targets = page.run(
        "return [...document.querySelectorAll('a')].map((each) => decodeURIComponent(new URL(each.href).pathname))"
    )
    assert targets and all(Path(target).is_file() for target in targets)
    page.click("return [...document.querySelectorAll('th a')].find((each) => each.textContent.startsWith('<img'))")
    page.wait("return document.body.classList.contains('proof')")
    home = page.run("return decodeURIComponent(new URL(document.querySelector('.home').href).pathname)")
    assert Path(home) == page.out / "index.html"
