"""What a proof page is worked with: buttons, the line about the chosen sign, the help of the keys."""

from __future__ import annotations

from pipeline.desk.proof.record import Proof
from pipeline.writers.html import Element, element

#: Keys and what they do, as the help says it.
KEYS = (
    ("→ ←", "next and previous event (n, p)"),
    ("↓ ↑", "through the signs of a chord (j, k)"),
    ("N P", "next and previous bar"),
    ("f F", "next and previous finding"),
    ("h H", "next and previous place of the editor’s hand"),
    ("m M", "next and previous probable misprint"),
    ("q Q", "next and previous question of the reading"),
    ("o b", "the other octave of a doubtful or restored note, seen and heard; hear both"),
    ("i", "hear the chosen sign"),
    ("l L r", "listen to the bar; listen from here; loop"),
    ("x", "stop"),
    ("v", "edition or singer’s copy"),
    ("s", "the picture of the system over the score, following (where the heading says how the systems lie)"),
    ("+ − 0", "larger, smaller, fit to the window"),
    ("d u", "this bar is read, or not; next bar not read"),
    ("e", "write a note on this bar"),
    ("1 to 7", "score, text, findings, editor’s hand, misprints, source, proof-reading"),
    ("?", "this help"),
    ("Esc", "stop, close, clear the selection"),
)


def tools(proof: Proof) -> Element:
    """Views, size, listening, highlights, help."""
    views = [_button(view.title, {"data-view": view.name, "aria-pressed": "false"}) for view in proof.views]
    size = (
        _button("−", {"id": "smaller", "aria-label": "Smaller"}),
        element("output", {"id": "size", "aria-label": "Size"}, "100 %"),
        _button("+", {"id": "larger", "aria-label": "Larger"}),
    )
    pace = {"id": "pace", "type": "number", "min": "20", "max": "240", "value": str(proof.crotchets)}
    many = {"id": "many", "type": "number", "min": "1", "max": "99", "value": "1", "aria-label": "Bars in the loop"}
    sound = (
        _button("Listen to bar", {"id": "listen"}),
        _button("Listen from here", {"id": "onward"}),
        _button("Stop", {"id": "stop", "disabled": "disabled"}),
        element("label", None, element("input", {"type": "checkbox", "id": "loop"}), " Loop"),
        element("label", {"class": "many"}, element("input", many), " bars"),
        element("label", None, element("span", {"class": "word"}, "Crotchets per minute "), element("input", pace)),
    )
    marks = [
        _mark_box(name, words) for name, words in (("found", "Findings"), ("octaves", "Octaves"), ("hand", "Hand"))
    ]
    return element(
        "div",
        {"id": "tools", "class": "screen-only", "role": "group", "aria-label": "Tools"},
        _group("Pages", *views) if len(views) > 1 else None,
        _group("Size", *size),
        _group("Listen", *sound),
        _group("Source", _button("Picture", {"id": "picture", "aria-pressed": "false"})) if _zoned(proof) else None,
        _group("Highlight", *marks),
        _group("Help", _button("Keys", {"id": "keys", "aria-haspopup": "dialog"})),
    )


def _zoned(proof: Proof) -> bool:
    """Whether the systems of any image are known."""
    return any(image.systems for image in proof.images)


def _group(name: str, *children: Element) -> Element:
    return element("div", {"class": "group", "role": "group", "aria-label": name}, *children)


def _button(words: str, attributes: dict[str, str]) -> Element:
    return element("button", {"type": "button", **attributes}, words)


def _mark_box(name: str, words: str) -> Element:
    box = element("input", {"type": "checkbox", "data-mark": name, "checked": "checked"})
    return element("label", {"class": f"mark-{name}"}, box, f" {words}")


def pane_buttons(proof: Proof) -> Element:
    """Which pane is seen: on a narrow window of all, on a wide one of the lists."""
    panes = (
        ("score", "Score", -1),
        ("text", "Text", -1),
        ("findings", "Findings", len(proof.findings)),
        ("hand", "Editor’s hand", len(proof.marks)),
        ("misprints", "Misprints", len(proof.misprints or ())),
        ("source", "Source", len(proof.images)),
        ("reading", "Reading", -1),
    )
    buttons = [
        _button(
            words if number <= 0 else f"{words} {number}",
            {"data-pane": name, "aria-pressed": "false", "class": "filled" if number else "empty"},
        )
        for name, words, number in panes
    ]
    return element("nav", {"id": "panes", "class": "screen-only", "aria-label": "Panes"}, *buttons)


def sign_bar() -> Element:
    """What is said of the chosen sign."""
    nothing = "Choose a note, a figure or a word of the text."
    return element(
        "footer",
        {"id": "sign", "class": "screen-only", "aria-label": "Chosen sign"},
        element("p", {"id": "chosen", "role": "status"}, nothing),
        _button("Hear", {"id": "hear", "hidden": "hidden"}),
        _button("Hear both", {"id": "both", "hidden": "hidden"}),
        _button("Other octave", {"id": "other", "hidden": "hidden", "aria-pressed": "false"}),
    )


def help_dialog() -> Element:
    """The keys, and the switch for those that are single letters."""
    rows = [
        element("tr", None, element("th", {"scope": "row"}, element("kbd", None, keys)), element("td", None, words))
        for keys, words in KEYS
    ]
    box = element("input", {"type": "checkbox", "id": "letters", "checked": "checked"})
    return element(
        "dialog",
        {"id": "help", "aria-labelledby": "help-name"},
        element("h2", {"id": "help-name"}, "Keys"),
        element("div", {"class": "wide"}, element("table", None, element("tbody", None, *rows))),
        element("p", None, element("label", None, box, " Use single letters and digits as keys")),
        _button("Close", {"id": "close"}),
    )
