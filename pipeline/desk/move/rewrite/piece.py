"""The whole text of a moved piece, line by line as the source's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.desk.move.record import Asked, Chord, Placed, There, Tunings
from pipeline.desk.move.rewrite.bars import Bars
from pipeline.desk.move.rewrite.heading import heading_lines, moved_key, retuned
from pipeline.desk.move.rewrite.losses import NOT_CARRIED_OVER, Losses
from pipeline.desk.move.rewrite.stops import Mover
from pipeline.desk.move.rewrite.strings import Strings
from pipeline.desk.move.rewrite.sung import Sung
from pipeline.desk.move.search.neck import Neck
from pipeline.model.interval import UNISON
from pipeline.model.record import replace
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import Bar, BodyItem, Directive, DirectiveKind, NoteKind, NoteLine, Tablature

#: Initials that sign what the moving has to say, the first that no editor or source of the piece has.
_INITIALS = ("MV", "MVG", "MOV", "MVX")


@dataclass(frozen=True, slots=True)
class Plan:
    """All that the rewriting needs: ``necks`` are the instruments of the stretches between
    retunings, ``numbers`` the stretches bar by bar; ``origin``
    a remark on where the piece comes from."""

    asked: Asked
    tunings: Tunings
    necks: tuple[Neck, ...]
    numbers: tuple[int, ...]
    placed: Placed
    chords: tuple[Chord, ...]
    origin: str
    there: There


def rewritten(piece: SoundingPiece, plan: Plan, losses: Losses) -> Tablature:
    """The moved piece as if typed; what it cannot keep goes to ``losses``."""
    return _Rewriting(piece, plan, losses).tablature()


class _Rewriting:
    def __init__(self, piece: SoundingPiece, plan: Plan, losses: Losses) -> None:
        self.piece, self.plan, self.losses = piece, plan, losses
        self.signs = plan.asked.signs or piece.heading.signs
        tones = {id(tone.stop): tone for chord in plan.chords for tone in chord.tones}
        self.sung = Sung.of(piece.heading, plan.asked, losses)
        self.bars = Bars(piece, Mover(plan.placed.places, plan.placed.others, tones, losses), self.sung, losses)
        self.sounding: Mapping[int, list[SoundingBar]] = _by_typed(piece)
        used = {initials for initials, _ in piece.heading.editors} | {w.siglum for w in piece.heading.witnesses}
        self.initials = next(initials for initials in (*_INITIALS, "") if initials not in used)
        self.signed = False
        self.stretch = 0
        self.told: set[int] = set()

    def tablature(self) -> Tablature:
        tablature = self.piece.tablature
        body = tuple(moved for item in tablature.body if (moved := self._item(item)) is not None)
        plan = self.plan
        lines = heading_lines(
            tablature,
            self.piece.heading,
            plan.asked,
            plan.tunings,
            plan.origin,
            self.initials if self.signed else "",
            plan.there,
            self.losses,
        )
        return replace(tablature, heading=lines, inherited=(), body=body, signs=self.signs)

    def _item(self, item: BodyItem) -> BodyItem | None:
        match item:
            case Bar():
                return self._bar(item)
            case Directive():
                return self._directive(item)
            case _:
                return item

    def _bar(self, bar: Bar) -> Bar:
        sounding = self.sounding.get(id(bar))
        if not sounding:
            return bar
        first = sounding[0]
        number = self.plan.numbers[first.index]
        self.stretch = number
        tunings = self.plan.tunings
        semitones = self.plan.asked.interval.semitones
        neck, before = self.plan.necks[number], self.piece.heading.signs
        strings = Strings(tunings.before[number], tunings.after[number], neck, semitones, self.signs, before)
        self.losses.at(first.label)
        moved = self.bars.bar(bar, sounding, strings)
        said = self.losses.note()
        if not said or not self.initials:
            return moved
        self.signed = True
        note = NoteLine(NoteKind.REASON, "", bar.span, self.initials, said)
        return replace(moved, notes=(*moved.notes, note))

    def _directive(self, line: Directive) -> Directive | None:
        if line.kind is DirectiveKind.KEY and self.plan.asked.interval != UNISON:
            return replace(line, text=moved_key(line.text, line.value_span, self.plan.asked.interval))
        tunings = self.plan.tunings
        if line.kind is not DirectiveKind.RETUNE or tunings.before == tunings.after:
            return line
        new = min(self.stretch + 1, len(self.plan.tunings.after) - 1)
        if new in self.told:
            return None  # said by the line before, which stands at the same place
        text = retuned(self.plan.tunings.after[self.stretch], self.plan.tunings.after[new])
        if new == self.stretch or not text:
            self.losses.apart(
                NOT_CARRIED_OVER, line.span, "“retune” is left out: no string of the moved piece moves here"
            )
            return None
        self.told.add(new)
        return replace(line, text=text)


def _by_typed(piece: SoundingPiece) -> dict[int, list[SoundingBar]]:
    found: dict[int, list[SoundingBar]] = {}
    for bar in piece.bars:
        found.setdefault(id(bar.bar), []).append(bar)
    return found
