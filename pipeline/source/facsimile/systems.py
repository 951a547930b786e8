"""Which bars stand in which system of a folio: the zones of the heading against the breaks of the source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pipeline.findings.codes.facsimile import SYSTEMS_DIFFER
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.facsimile import FolioSystem
from pipeline.model.heading import Systems
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import SourceBreak

#: Folio → the bars of each of its systems, by index; None for what stands before the first page break.
ByFolio = dict[str | None, list[list[int]]]


def systems_typed(piece: SoundingPiece) -> ByFolio:
    """Folio → its systems, each with the indices of the bars that stand in it, wholly or in part. Linear time."""
    found: ByFolio = {}
    folio: str | None = None
    for bar in piece.bars:
        for name, _ in bar.folios:
            folio = _begun(found, folio, name)
        found.setdefault(folio, [[]])[-1].append(bar.index)
        for item in bar.bar.items[1:]:
            if isinstance(item, SourceBreak):
                folio = _begun(found, folio, item.folio)
                found[folio][-1].append(bar.index)
    return found


def _begun(found: ByFolio, folio: str | None, name: str) -> str | None:
    """Begin a system, on another folio if it is named. A break before the first bar of a folio begins nothing more."""
    now = name or folio
    systems = found.setdefault(now, [])
    if not systems or systems[-1]:
        systems.append([])
    return now


def placed(line: Systems, typed: list[list[int]]) -> tuple[FolioSystem, ...]:
    """The zones with their bars; those that have no system in the text show none."""
    systems = [tuple(bars) for bars in typed if bars]
    return tuple(
        FolioSystem(zone, systems[number] if number < len(systems) else ()) for number, zone in enumerate(line.zones)
    )


def differing(lines: Mapping[str, Systems], images: frozenset[str], typed: ByFolio) -> Iterator[Diagnostic]:
    """Lines that speak of a folio without an image, or of more or fewer systems than the text has on it."""
    for folio, line in lines.items():
        if folio not in images:
            if not line.inherited:
                message = f"The systems of folio {folio} are declared, but the heading names no image of it."
                yield Diagnostic(
                    SYSTEMS_DIFFER, line.span, message, f"For example: facsimile {folio} = images/{folio}.jpg"
                )
            continue
        there = sum(bool(bars) for bars in typed.get(folio, ()))
        if there and there != len(line.zones):
            message = f"Folio {folio} has {len(line.zones)} systems by this line, and {there} in the text."
            hint = "Each & in the text begins a system. Of a folio with other pieces, give those of this one only."
            yield Diagnostic(SYSTEMS_DIFFER, line.span, message, hint)
