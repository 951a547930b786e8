"""The pane of proof-reading: what is read, what is left, notes for oneself, and the file that keeps them."""

from __future__ import annotations

from pipeline.desk.proof.record import Proof
from pipeline.model.artefacts import MARKS
from pipeline.writers.html import Element, element


def work_pane(proof: Proof) -> Element:
    """Empty but for its tools: the marks are the browser's, and the script shows them."""
    name = proof.texts[0].name.rpartition("/")[2].removesuffix(".intav") + MARKS
    code = element("code", None, name)
    return element(
        "section",
        {"id": "reading", "class": "pane list", "tabindex": "0", "aria-labelledby": "reading-name"},
        element("h2", {"id": "reading-name"}, "Proof-reading"),
        element("p", {"id": "progress", "role": "status"}),
        element(
            "div",
            {
                "id": "apart",
                "class": "screen-only",
                "role": "group",
                "aria-labelledby": "apart-said",
                "hidden": "hidden",
            },
            element("p", {"id": "apart-said", "role": "status"}),
            element(
                "p",
                {"class": "row"},
                _button("Join both", {"id": "apart-both"}),
                _button("Take those of the file", {"id": "apart-file"}),
                _button("Keep these", {"id": "apart-here"}),
            ),
        ),
        element(
            "p",
            {"class": "row screen-only"},
            _button("This bar is read", {"id": "done", "aria-pressed": "false"}),
            _button("Next bar not read", {"id": "unread"}),
        ),
        element("label", {"class": "note-of screen-only"}, _words("note-of", "Note on this bar"), _field()),
        element("ol", {"id": "notes", "class": "items"}),
        element(
            "p",
            {"class": "row screen-only"},
            _button("Save as a file", {"id": "export"}),
            element("label", {"class": "pick"}, "Take from a file ", _file()),
        ),
        element("p", {"id": "kept", "class": "faint", "role": "status"}),
        element(
            "p",
            {"class": "faint screen-only"},
            "Kept in this browser. Saved as ",
            code,
            " beside the piece, it goes with the collection, and builds show how far the reading is. "
            "A bar whose typing changes is no longer read.",
        ),
    )


def _button(words: str, attributes: dict[str, str]) -> Element:
    return element("button", {"type": "button", **attributes}, words)


def _words(name: str, words: str) -> Element:
    return element("span", {"id": name}, words)


def _field() -> Element:
    return element("textarea", {"id": "note", "rows": "2", "spellcheck": "true"})


def _file() -> Element:
    return element("input", {"type": "file", "id": "import", "accept": ".json,application/json"})
