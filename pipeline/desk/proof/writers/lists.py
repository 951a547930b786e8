"""The panes of the editor's hand, of probable misprints, and of the source's images."""

from __future__ import annotations

from shlex import quote

from pipeline.desk.proof.record import Answer, LikelyMisprint, MarkedPlace, Proof
from pipeline.desk.proof.writers.words import place_of
from pipeline.model.artefacts import proof_address
from pipeline.model.facsimile import FolioImage
from pipeline.writers.html import Element, element


def hand_pane(proof: Proof) -> Element:
    """Every place that the editor or the reading had a hand in, with its reason."""
    items = [_mark(place) for place in proof.marks]
    nothing = element("p", {"class": "faint"}, "The edition is the source, sign for sign; no octave is restored.")
    return _list_pane("hand", "Editor’s hand", items, nothing)


def _mark(place: MarkedPlace) -> Element:
    at, *also = place.at
    where = {"class": f"item {place.hand.value}", "data-at": at, "data-hand": place.hand.value}
    if also:
        where["data-also"] = " ".join(also)
    switch = None
    if place.octaves:
        where |= {"data-octaves": str(place.octaves), "data-sounding": place.sounding, "data-meant": place.meant}
        words = f"Show {place.meant} instead of {place.sounding}"
        switch = element("button", {"type": "button", "class": "switch screen-only", "aria-pressed": "false"}, words)
    tag = element("span", {"class": f"tag hand-{place.hand.value}"}, place.what)
    top = element("p", {"class": "where"}, _go(at, place_of(place.bar, 0, at)), " ", tag)
    return element("li", where, top, element("p", None, place.why), switch, _answers(place.answers))


def _answers(answers: tuple[Answer, ...]) -> Element | None:
    """What to type, to be unfolded and copied."""
    if not answers:
        return None
    made = [child for answer in answers for child in _answer(answer)]
    return element("details", {"class": "answer screen-only"}, element("summary", None, "Answer it"), *made)


def _answer(answer: Answer) -> tuple[Element, Element]:
    lines = f"line {answer.first}" if answer.first == answer.last else f"lines {answer.first}–{answer.last}"
    said = element("p", None, f"{answer.words}: type in place of {lines} ", copy_button())
    return said, element("pre", None, element("code", None, "\n".join(answer.typed)))


def copy_button() -> Element:
    """Copies the ``code`` that stands in or after its paragraph."""
    return element("button", {"type": "button", "class": "copy screen-only"}, "Copy")


def misprint_pane(proof: Proof) -> Element:
    """Places that are probably misprinted, with what may be meant. Nothing is changed by looking."""
    if proof.misprints is None:
        command = element("code", None, "longneck build --misprints")
        nothing = element("p", {"class": "faint"}, "Not looked for. ", command, " looks for them.")
    else:
        nothing = element("p", {"class": "faint"}, "Nothing looks like one.")
    items = [_misprint(each, proof.texts[0].name) for each in proof.misprints or ()]
    return _list_pane("misprints", "Probable misprints", items, nothing)


def _misprint(each: LikelyMisprint, piece: str) -> Element:
    sure = f"{min(99, max(1, round(100 * each.chance)))} % likely"  # nothing guessed is certain
    way = element(
        "p", None, element("code", None, each.typed), " → ", element("code", {"class": "typed"}, each.proposed)
    )
    command = element("code", {"class": "typed"}, f"longneck propose {quote(piece)} --accept {each.id}")
    return element(
        "li",
        {"class": "item misprint", "data-at": each.at},
        element(
            "p",
            {"class": "where"},
            _go(each.at, place_of(each.bar, 0, each.at)),
            " ",
            element("span", {"class": "tag"}, each.what),
            f", {sure}",
        ),
        way,
        element("p", None, each.why) if each.why else None,
        element(
            "p", {"class": "faint"}, command, " writes it into the text, anywhere in the collection ", copy_button()
        ),
    )


def source_pane(proof: Proof) -> Element:
    """The images of the source, a folio a figure. They are asked for only when they come into sight."""
    figures = [_figure(image, proof) for image in proof.images]
    nothing = element(
        "p",
        {"class": "faint"},
        "No image. The heading names them: ",
        element("code", None, "facsimile 4r = images/4r.jpg"),
    )
    if figures:
        figures.insert(0, _zoom())
    return _list_pane("source", "Source", figures, nothing, listed=False)


def _zoom() -> Element:
    """How large the folios are; a larger one is moved by dragging, or by its own scrolling."""
    buttons = (
        element("button", {"type": "button", "id": name, "aria-label": said}, words)
        for name, said, words in (("farther", "Folios smaller", "−"), ("nearer", "Folios larger", "+"))
    )
    size = element("output", {"id": "near", "aria-label": "Size of the folios"}, "100 %")
    return element("p", {"class": "row screen-only"}, next(buttons), size, next(buttons))


def _figure(image: FolioImage, proof: Proof) -> Element:
    size = {"width": str(image.width), "height": str(image.height)} if image.width and image.height else {}
    picture = element(
        "img", {"src": image.file, "alt": f"Folio {image.folio} of the source", "loading": "lazy", **size}
    )
    labels = [proof.bars[index].label for index in image.bars if proof.bars[index].label]
    bars = ""
    if labels:
        bars = f", bar {labels[0]}" if len(labels) == 1 else f", bars {labels[0]}–{labels[-1]}"
    first = f"b{image.bars[0] + 1}" if image.bars else ""
    words = f"Folio {image.folio}{bars}"
    caption = element("figcaption", None, _go(first, words) if first else words)
    zone = element("span", {"class": "zone", "hidden": "hidden"}) if image.systems else None
    sheet = element("span", {"class": "folio"}, picture, zone)
    frame = element("div", {"class": "wide", "tabindex": "0", "role": "group", "aria-label": words}, sheet)
    return element("figure", {"data-at": first}, caption, frame)


def _list_pane(name: str, title: str, items: list[Element], nothing: Element, *, listed: bool = True) -> Element:
    held = [element("ol", {"class": "items"}, *items)] if listed and items else items
    return element(
        "section",
        {
            "id": name,
            "class": "pane list" if items else "pane list nothing",
            "tabindex": "0",
            "aria-labelledby": f"{name}-name",
        },
        element("h2", {"id": f"{name}-name"}, title),
        *(held or [nothing]),
    )


def _go(at: str, words: str) -> Element:
    return element("a", {"class": "go", "href": f"#{proof_address(at)}", "data-at": at}, words)
