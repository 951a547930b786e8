"""Whatever was typed stays text: in titles, comments, notes, findings, file names, words under notes."""

from __future__ import annotations

from tests.browser.conftest import EVIL, Page


def test_nothing_typed_becomes_markup(page: Page) -> None:
    page.open("all signs #1")
    page.wait("return drawnSheets().length")
    page.press("v")
    page.wait("return sheets.get('reduction 1').drawn")
    for pane in "23456":
        page.press(pane)
    assert page.run("return window.broken") is None
    assert page.run("return [document.querySelector('h1').textContent, document.title]") == [EVIL, f"{EVIL}, proof"]
    assert page.run("return document.querySelector('#L1 code').textContent").startswith("longneck 1 ; </script>")
    kinds = page.run("return [...new Set([...document.querySelectorAll('*')].map((each) => each.localName))]")
    assert not {"b", "i", "u", "s", "iframe", "svg"} & set(kinds)
    assert page.run("return [...document.querySelectorAll('img')].every((each) => each.closest('#source'))")
    inside = page.run(
        "return drawnSheets().flatMap((sheet) => [...sheet.root.querySelectorAll('*')]).map((each) => each.localName)"
    )
    assert not {"script", "img", "b", "i", "u", "s", "foreignObject"} & set(inside)
    scripts = page.run("return [...document.scripts].map((each) => each.type)")
    assert scripts.count("") == 1


def test_the_page_of_all_pieces_and_its_addresses(page: Page) -> None:
    page.open("index.html")
    assert page.run("return window.broken") is None
    assert EVIL in page.run("return document.querySelector('table').textContent")
    link = page.run(
        "return [...document.querySelectorAll('th a')].find((each) => each.textContent.startsWith('<img')).href"
    )
    assert link.endswith("/all%20signs%20%231/proof.html")
    assert page.run("return document.querySelectorAll('img, script[src]').length") == 0  # its own searches it
