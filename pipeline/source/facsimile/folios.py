"""Which image shows which bars: ``facsimile`` lines of the heading against the breaks of the source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from pipeline.findings.codes.facsimile import FACSIMILE_MISSING, FACSIMILE_REFUSED
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.facsimile import Folio, FolioImage, ImageFile
from pipeline.model.heading import Facsimile
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import SourceBreak
from pipeline.model.text import SourceText
from pipeline.source.facsimile.systems import differing, placed, systems_typed

_KEY = "facsimile"


def images_named(own: SourceText, inherited: Iterable[SourceText]) -> tuple[str, ...]:
    """The image files that a piece shows, each once, in order: those of its own heading, and of its folders' headings
    those whose folio it names in a break. A line that only looks like one does no harm."""
    found = {file: None for _, file in _lines(own)}
    broken = {word for line in own.lines if "&" in line for word in line.split() if word.startswith("&")}
    for text in inherited:
        found.update((file, None) for folio, file in _lines(text) if f"&{folio}" in broken)
    return tuple(found)


def _lines(text: SourceText) -> Iterator[tuple[str, str]]:
    for line in text.lines:
        words = line.split()
        if len(words) >= 4 and words[0] == _KEY and words[2] == "=":
            comment = next((place for place, word in enumerate(words) if word.startswith(";")), len(words))
            yield words[1], " ".join(words[3:comment])


def folio_images(piece: SoundingPiece, images: Mapping[str, ImageFile]) -> Outcome[tuple[FolioImage, ...]]:
    """Every image that can be shown, in the order of the heading, and what is wrong with the others.

    ``images`` are the files that the heading names (``images_named``), by the path typed there; one that is not among
    them counts as missing. Bars before the first break lie on the first folio of the piece's own heading that no break
    names. Files are numbered in order, so that no name typed becomes a name written.
    """
    bars = _bars_by_folio(piece)
    shown = [line for line in piece.heading.facsimiles if not line.inherited or line.folio in bars]
    unplaced = next((line.folio for line in shown if line.folio not in bars), None)
    if unplaced is not None and None in bars:
        bars[unplaced] = bars.pop(None)
    typed = systems_typed(piece)
    if unplaced is not None and None in typed:
        typed[unplaced] = typed.pop(None)
    lines = {line.folio: line for line in piece.heading.systems}
    made: list[FolioImage] = []
    found: list[Diagnostic] = []
    for number, line in enumerate(shown, start=1):
        image = images.get(line.file) or ImageFile(line.file, missing="there is no such file")
        if image.usable:
            name = f"facsimile-{number:03d}.{image.kind}"
            on_it = tuple(bars.get(line.folio, ()))
            systems = placed(lines[line.folio], typed.get(line.folio, [])) if line.folio in lines else ()
            count = sum(map(bool, typed.get(line.folio, ())))
            made.append(FolioImage(line.folio, name, line.file, image.width, image.height, on_it, systems, count))
        else:
            found.append(_finding(line, image))
    found += differing(lines, frozenset(line.folio for line in piece.heading.facsimiles), typed)
    return Outcome(tuple(made), tuple(found))


def folios_of(piece: SoundingPiece, images: Iterable[FolioImage]) -> tuple[Folio, ...]:
    """Every folio of which a picture is known, as the source has them: those of the breaks in their order, then others.
    A canvas counts where a break names its folio, or an image shows it."""
    bars = _bars_by_folio(piece)
    shown = {image.folio: image for image in images}
    canvases = {one.folio: one.address for one in piece.heading.canvases}
    order = [folio for folio in bars if folio is not None and (folio in shown or folio in canvases)]
    order += [folio for folio in shown if folio not in order]
    return tuple(
        Folio(
            folio,
            tuple(shown[folio].bars if folio in shown else bars[folio]),
            shown.get(folio),
            canvases.get(folio, ""),
        )
        for folio in order
    )


def _finding(line: Facsimile, image: ImageFile) -> Diagnostic:
    message = f"The image {line.file} of folio {line.folio} cannot be shown: {image.missing or image.refused}."
    if image.missing:
        return Diagnostic(
            FACSIMILE_MISSING, line.span, message, "The path counts from the piece's folder, with / between folders."
        )
    return Diagnostic(FACSIMILE_REFUSED, line.span, message, "Save it as a smaller JPEG.")


def _bars_by_folio(piece: SoundingPiece) -> dict[str | None, list[int]]:
    """Folio → indices of the bars that stand on it, wholly or in part. None: before the first break."""
    found: dict[str | None, list[int]] = {}
    folio: str | None = None
    for bar in piece.bars:
        for name, _ in bar.folios:
            folio = name or folio
        found.setdefault(folio, []).append(bar.index)
        for item in bar.bar.items[1:]:
            if isinstance(item, SourceBreak) and item.folio:
                folio = item.folio
                found.setdefault(folio, []).append(bar.index)
    return found
