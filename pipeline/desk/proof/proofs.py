"""The proof of a piece, put together: its pages, its text, every sign in both, and all there is to decide."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Sequence

from pipeline.desk.misprints.proposal import Proposal
from pipeline.desk.proof.prove import Answers, PlaceFinder, heard_bars, marked_places, typed_bars, weak_bars
from pipeline.desk.proof.reading import Marks, bar_texts
from pipeline.desk.proof.record import Elsewhere, LikelyMisprint, MarkedPlace, Proof, ShownFinding, View
from pipeline.model.apparatus import Apparatus
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.facsimile import FolioImage
from pipeline.model.performance import Performance
from pipeline.model.pitch import CONCERT_A
from pipeline.model.record import replace
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from pipeline.model.voiced import VoicedPiece


def proof_of(
    texts: Sequence[SourceText],
    voiced: VoicedPiece,
    apparatus: Apparatus,
    song: Song,
    performance: Performance,
    views: Sequence[View],
    found: Sequence[Diagnostic],
    images: Sequence[FolioImage] = (),
    proposals: Sequence[Proposal] | None = None,
    files: Sequence[str] = (),
    home: str = "",
    marks: Marks | None = None,
) -> Proof:
    """Everything that the proof page of one piece shows. ``texts`` are the piece and the headings it inherits,
    outermost first; ``views`` are the printed pages; ``proposals`` is None where none were looked for. Linear time."""
    contents = {bar.line: bar.content for bar in bar_texts(texts[0])}
    bars = tuple(replace(bar, content=contents.get(bar.line, "")) for bar in typed_bars(voiced, song))
    heading = voiced.sounding.heading
    return Proof(
        heading.title,
        heading.composer,
        home,
        tuple(views),
        tuple(texts),
        bars,
        heard_bars(voiced.sounding, performance),
        performance.crotchets,
        heading.pitch or CONCERT_A,
        _shown(found, texts, PlaceFinder(bars)),
        (*_answered(marked_places(apparatus), Answers(voiced.sounding, texts[0])), *weak_bars(voiced)),
        None if proposals is None else tuple(_misprint(proposal) for proposal in proposals),
        tuple(images),
        tuple(files),
        marks,
    )


def _answered(places: Iterable[MarkedPlace], answers: Answers) -> Iterator[MarkedPlace]:
    """The places, with what to type where it is open, or decided by the reading alone, which octave is meant."""
    for place in places:
        if place.octaves:
            typed = answers.to(place.at[0], place.octaves, place.meant, place.sounding)
            yield dataclasses.replace(place, answers=typed)
        else:
            yield place


def _misprint(proposal: Proposal) -> LikelyMisprint:
    mend = proposal.suspicion
    reasons = [f"{reason[:1].upper()}{reason[1:]}." for reason in mend.reasons]
    if mend.by_hand:
        reasons.append(f"To be typed by hand: {mend.by_hand}.")
    return LikelyMisprint(
        proposal.id,
        mend.stop or mend.event or f"b{mend.bar + 1}",
        mend.label,
        mend.slip.value,
        mend.typed,
        mend.proposed,
        mend.chance,
        " ".join(reasons),
    )


def _shown(found: Sequence[Diagnostic], texts: Sequence[SourceText], finder: PlaceFinder) -> tuple[ShownFinding, ...]:
    """Findings in the order of the text, the piece's own first."""
    numbers = {text.name: number for number, text in enumerate(texts)}
    shown = [_finding(one, numbers, finder) for one in found]
    return tuple(sorted(shown, key=lambda one: (one.text, one.line, one.start, one.code, one.message)))


def _finding(found: Diagnostic, numbers: dict[str, int], finder: PlaceFinder) -> ShownFinding:
    span = found.span
    text = numbers.get(span.file, -1)
    at = finder.at(span.line, span.start, span.end) if text == 0 else ""
    return ShownFinding(
        found.code.slug,
        found.severity.value,
        found.code.title,
        found.message,
        found.hint,
        found.bar or finder.label(at),
        text,
        span.line,
        span.start,
        span.end,
        at,
        tuple(Elsewhere(other.message, numbers.get(other.span.file, -1), other.span.line) for other in found.related),
    )
