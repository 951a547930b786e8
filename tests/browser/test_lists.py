"""Findings and their filters, the editor's hand, the other octave, highlights, images of the source."""

from __future__ import annotations

import json

from tests.browser.conftest import Page

SHOWN = (
    "return [...document.querySelectorAll('#findings .item')].filter((item) => !item.hidden && "
    "item.checkVisibility()).length"
)
#: The sheet of the edition on which the chosen note stands.
CHOSEN = """[...sheets].filter(([name]) => name.startsWith('edition ')).map(([, sheet]) => sheet.root)
  .find((root) => root && root.querySelector('.chosen'))"""
OCTAVE = "return [...document.querySelectorAll('#hand .item')].find((item) => item.dataset.hand === arguments[0])"


def test_every_finding_is_listed_and_leads_to_its_place(page: Page) -> None:
    found = json.loads((page.out / "rhythm" / "findings.json").read_bytes())["findings"]
    page.open("rhythm")
    listed = page.run(
        "return [...document.querySelectorAll('#findings .item')].map((item) => [item.dataset.code, "
        "item.dataset.severity,"
        "item.querySelector('p:nth-of-type(2)').textContent, item.dataset.place])"
    )
    assert sorted(listed) == sorted(
        [
            one["code"],
            one["severity"],
            one["message"],
            f"0 {one['place']['line']} {one['place']['column']} {one['place']['end']}",
        ]
        for one in found
    )
    for number, one in enumerate(listed):
        page.run("goTo(document.querySelectorAll('#findings .where .go')[arguments[0]], 'findings')", number)
        line = one[3].split()[1]
        assert page.run("return document.querySelector('#text .chosen-line').id") == f"L{line}"
        if one[3].split()[2] != one[3].split()[3]:
            assert page.run(
                "return stretches(0, Number(arguments[0])).some((each) => each.node.matches('[class*=found-]'))", line
            )


def test_filters_by_severity_and_kind(page: Page) -> None:
    page.open("rhythm")
    items = page.run(
        "return [...document.querySelectorAll('#findings .item')].map((item) => [item.dataset.severity, "
        "item.dataset.code])"
    )
    severities = {severity for severity, _ in items}
    assert page.run(SHOWN) == len(items) and len(severities) > 1
    page.click("return document.querySelector('#filters input[value=error]')")
    assert page.run(SHOWN) == sum(severity != "error" for severity, _ in items)
    assert page.run("return document.querySelectorAll('#text .found-error').length") == 0
    assert (
        page.run("return drawnSheets().flatMap((sheet) => [...sheet.root.querySelectorAll('.found.error')]).length")
        == 0
    )
    page.click("return document.querySelector('#filters input[value=error]')")
    code = items[0][1]
    page.run(
        "const box = document.getElementById('kind'); box.value = arguments[0]; box.dispatchEvent(new "
        "Event('change', {bubbles: true}))",
        code,
    )
    assert page.run(SHOWN) == sum(each == code for _, each in items)
    assert page.run("return document.getElementById('shown').textContent") == f"{page.run(SHOWN)} of {len(items)} shown"


def test_findings_are_walked_by_key(page: Page) -> None:
    page.open("rhythm")
    number = page.run(SHOWN)
    seen = set()
    for _ in range(number):
        page.press("f")
        seen.add(
            page.run(
                "return [...document.querySelectorAll('#findings "
                ".item')].indexOf(document.querySelector('.item.current'))"
            )
        )
    assert seen == set(range(number))
    page.press("F")
    assert page.run("return document.querySelectorAll('.item.current').length") == 1


def test_a_finding_in_a_folder_s_heading_opens_it(page: Page) -> None:
    page.open("02-ground")
    assert page.run("return document.querySelectorAll('#T1L1').length") == 1
    page.run(
        "const link = document.createElement('a'); link.className = 'go'; link.href = '#T1L1'; link.dataset.at = '';"
        "document.getElementById('findings').append(link); link.click()"
    )
    assert page.run(
        "return document.querySelector('#text details').open && document.getElementById('T1L1').checkVisibility()"
    )


def test_the_other_octave_stands_an_octave_off_and_is_heard_there(page: Page) -> None:
    page.open("reading")
    page.wait("return drawnSheets().length")
    page.run("document.querySelector('#panes [data-pane=hand]').click()")
    name = page.run(OCTAVE.replace("return ", "return (") + ").dataset.at", "asked")
    page.run("choose(arguments[0], '')", name)
    page.wait(f"return {CHOSEN}")
    heights = (
        f"const root = {CHOSEN}, "
        + """note = root.querySelector(`[id="n-${arguments[0]}"]`);
    const paths = [...note.closest('.staff').querySelectorAll(':scope > path')];
    const lines = paths.map((path) => path.getBoundingClientRect().top);
    const middle = (each) => { const box = each.getBoundingClientRect(); return (box.top + box.bottom) / 2; };
    const other = root.querySelector('.other .notehead');
    return [(lines[4] - lines[0]) / 8, middle(note.querySelector('.notehead')), other ? middle(other) : null]"""
    )
    step, printed, other = page.run(heights, name)
    assert other is None
    page.click("return document.getElementById('other')")
    step, printed, other = page.run(heights, name)
    # An octave is seven steps of a staff, a step half the distance of two lines.
    assert abs((printed - other) - 7 * step) < 0.05 * step
    number, sounding = page.run(
        "const it = (" + OCTAVE.removeprefix("return ") + "); return [barOf(it.dataset.at), midi(it.dataset.sounding)]",
        "asked",
    )
    heard = """const [, tones, events] = facts.heard[arguments[0] - 1];
    return heardPitches(arguments[0], tones, events).map((pitch, at) => [tones[4 * at + 2], pitch])"""
    changed = [(before, after) for before, after in page.run(heard, number) if before != after]
    assert changed == [(sounding, sounding + 12)]
    page.press("o")
    assert page.run(heights, name)[2] is None
    assert [pair for pair in page.run(heard, number) if pair[0] != pair[1]] == []


def test_ledger_lines_of_the_other_octave(page: Page) -> None:
    page.open("all signs #1")
    page.wait("return drawnSheets().length")
    page.run("choose('b2e2c1', ''); toggleOther('b2e2c1')")
    # A4 lies inside the upper staff and needs none; A3, which sounds, lies two ledger lines below.
    assert page.run("return sheets.get('edition 1').root.querySelectorAll('.other > path').length") == 0
    assert page.told.count("A4") == 1


def test_the_editor_s_hand_is_listed_with_its_reasons_and_can_be_hidden(page: Page) -> None:
    page.open("all signs #1")
    page.wait("return drawnSheets().length")
    text = page.run("return document.getElementById('hand').textContent")
    assert "digits confused <script>window.broken=7</script> (EB)" in text
    assert "fixed by the editor" in text and "Course 3: 2 (doubtful) in the source, here 2." in text
    strength = "return getComputedStyle(sheets.get('edition 1').root.querySelector('.halo.emended')).fillOpacity"
    assert float(page.run(strength)) > 0.1
    page.click("return document.querySelector('#tools [data-mark=hand]')")
    assert float(page.run(strength)) == 0
    page.press("h")
    assert page.chosen != "" and page.run("return document.body.dataset.list") == "hand"


def test_images_stand_beside_their_bars_and_a_broken_one_says_so(page: Page) -> None:
    page.open("all signs #1")
    page.run("choose('b1e1', '')")
    page.press("6")
    page.wait("return document.querySelector('#source img').naturalWidth === 300")
    assert (
        page.run("return document.querySelector('#source figure.here figcaption').textContent") == "Folio 4r, bars 1–2"
    )
    page.run("document.querySelector('#source').scrollTop = 9999")
    said = page.wait(
        "const said = document.querySelector('#source figure:nth-of-type(2) .severity-warning'); return "
        "said && said.textContent"
    )
    assert said == "Folio 4v of the source: this image cannot be shown; its file is missing or broken."
    page.press("N", "N")
    assert (
        page.run("return document.querySelector('#source figure.here figcaption').textContent") == "Folio 4v, bars 3–4"
    )
    assert "facsimile-missing" in page.run("return document.getElementById('findings').textContent")
