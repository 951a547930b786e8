"""What a moved piece cannot keep: told as a finding at the source's sign, and in a note that the page prints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from pipeline.findings.codes.moving import NOT_CARRIED_OVER, OCTAVE_CHANGED, OTHER_FINGERING, STOP_LEFT_OUT
from pipeline.model.diagnostics import Code, Diagnostic
from pipeline.model.text import Span

__all__ = ["NOT_CARRIED_OVER", "OCTAVE_CHANGED", "STOP_LEFT_OUT", "Losses"]

#: Chords that can be fingered otherwise as well are many in plain music; only so many are told.
MOST_CHOICES = 12


@dataclass(slots=True)
class Losses:
    """All that is lost, and what the bar at hand has lost so far. ``bar`` is its number as printed; ``event`` counts
    the events of the bar, 0 outside of them."""

    found: list[Diagnostic] = field(default_factory=list)
    bar: str = ""
    event: int = 0
    here: list[tuple[int, str]] = field(default_factory=list)
    choices: int = 0

    def at(self, bar: str) -> None:
        """Go on to a bar; what was lost on the way to it is told in it."""
        self.bar, self.event = bar, 0

    def say(self, code: Code, span: Span, what: str, others: Sequence[str] = (), hint: str = "") -> None:
        """``what`` is lost, a phrase; ``others`` are the places that it could have instead; ``hint`` says what else
        can be done, and is no part of the page."""
        place = f"Bar {self.bar}" if self.bar else "Upbeat"
        where = f"{place}, event {self.event}: " if self.event else f"{place}: "
        if others:
            hint = f"Instead, in the moved text: {' · '.join(others)}"
        self.found.append(Diagnostic(code, span, f"{where}{what}.", hint, bar=self.bar))
        self.here.append((self.event, f"{what} (or {', '.join(others)})" if others else what))

    def choice(self, span: Span, chosen: str, others: Sequence[str]) -> None:
        """A chord that can be played otherwise as well: nothing is lost, so no note of the bar says so."""
        self.choices += 1
        if self.choices <= MOST_CHOICES:
            place = f"Bar {self.bar}" if self.bar else "Upbeat"
            message = f"{place}, event {self.event}: {chosen} can be fingered otherwise as well."
            hint = f"Instead, in the moved text: {' · '.join(others)}"
            self.found.append(Diagnostic(OTHER_FINGERING, span, message, hint, bar=self.bar))

    def apart(self, code: Code, span: Span, what: str) -> None:
        """Something that no bar has: told as a finding only."""
        self.found.append(Diagnostic(code, span, f"{what}."))

    def note(self) -> str:
        """What the bar has lost, in one line; empty if nothing. The next bar begins anew."""
        parts = []
        for event in dict.fromkeys(number for number, _ in self.here):
            said = "; ".join(dict.fromkeys(what for number, what in self.here if number == event))
            parts.append(f"event {event}: {said}" if event else said)
        self.here = []
        return "; ".join(parts)
