"""The readings of another source put into a text, and the proof that they say what the source has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.collate.declaring import declared
from pipeline.desk.collate.fitting import breaks_off, shift_of, tuned_otherwise, unfit
from pipeline.desk.collate.force import after
from pipeline.desk.collate.hands import Hand
from pipeline.desk.collate.noted import readings_of, without
from pipeline.desk.collate.pairs import alike, assigned, held_against, tails
from pipeline.desk.collate.readings import Place, Writer
from pipeline.desk.collate.record import Collated, Level, Written
from pipeline.desk.collate.source import as_source
from pipeline.desk.collate.taking import by_typed, edition_of, taken_views
from pipeline.desk.collate.views import NOTHING, View, joined, key_of, naming_of, run_of, sound_key, view_of
from pipeline.findings.codes.collating import CANNOT_COLLATE, SOURCE_BREAKS_OFF
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.heading import Witness
from pipeline.model.record import replace
from pipeline.model.signs import Event
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import Bar, BodyItem, NoteKind, Tablature
from pipeline.model.text import SourceText, Span
from pipeline.model.time import Value
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from pipeline.source.resolve.unmeasured import lone_signs

#: Less of the bars than this, in hundredths, has in common what is not the same piece.
_HARDLY_ANYTHING = 25


def collated(
    one: SoundingPiece,
    two: SoundingPiece,
    witness: Witness,
    level: Level,
    inherited: tuple[SourceText, ...] = (),
) -> Collated:
    """The text of ``one`` with what ``two`` has, in canonical layout. Both must be without faults of the typing.

    ``witness`` is what the text calls the other source; ``inherited`` are the headings above ``one``. Readings of that
    source that are there already stay where they say at this level what it has, and are renewed where they do not;
    what is said in words stays. Taking the readings out again gives what the other source has, as far as the level
    sees it; or nothing is written, and a finding says where it could not be said.
    """
    apart = tuple(unfit(one, two))
    if apart:
        return Collated(None, witness.siglum, diagnostics=apart)
    desk = _Desk.of(one, two, witness, level)
    apart = tuple(desk.unfit())
    if apart:
        return Collated(None, witness.siglum, diagnostics=apart)
    for labels in (True, False):
        found = desk.collated(inherited, labels=labels)
        if found.tablature is not None:
            break
    return found


@dataclass(frozen=True, slots=True)
class _Desk:
    """Two texts side by side. ``mine`` are the bars of the first as its source has them, ``other`` those of the second;
    both as far as they are held against each other."""

    one: SoundingPiece
    two: SoundingPiece
    witness: Witness
    level: Level
    edition: tuple[SoundingBar, ...]
    mine: tuple[SoundingBar, ...]
    other: tuple[SoundingBar, ...]
    shift: int
    places: tuple[tuple[int, ...], ...]
    notes: tuple[Diagnostic, ...]
    hand: Hand

    @classmethod
    def of(cls, one: SoundingPiece, two: SoundingPiece, witness: Witness, level: Level) -> _Desk:
        """Find which bar is which, and how far both go."""
        edition = one.bars
        mine = resolve(as_source(one.tablature), one.heading).value.bars
        other = resolve(as_source(two.tablature), two.heading).value.bars
        shift = shift_of(one, two)
        ends = tails([view_of(bar) for bar in mine], [view_of(bar, shift) for bar in other])
        notes: list[Diagnostic] = []
        if ends[0] > ends[1] and breaks_off(two):
            beyond = mine[len(mine) - ends[0] + ends[1]]
            notes.append(_ends_at(other[-1], beyond, two, one))
            mine = mine[: beyond.index]
        elif ends[1] > ends[0] and breaks_off(one):
            beyond = other[len(other) - ends[1] + ends[0]]
            notes.append(_ends_at(mine[-1], beyond, one, two))
            other = other[: beyond.index]
        places = assigned([view_of(bar) for bar in mine], [view_of(bar, shift) for bar in other])
        return cls(
            one, two, witness, level, edition[: len(mine)], mine, other, shift,
            tuple(map(tuple, places)), tuple(notes), Hand(two.heading, one.heading),
        )  # fmt: skip

    def unfit(self) -> Iterator[Diagnostic]:
        """What keeps the bars from being held against each other."""
        pairs = [(self.mine[place], self.other[bar]) for place, bars in enumerate(self.places) for bar in bars]
        yield from tuned_otherwise(pairs, self.shift)
        views = self.views(self.mine), self.other_views()
        likeness = [
            alike(sound_key(view), sound_key(joined([views[1][bar] for bar in bars])))
            for view, bars in zip(views[0], self.places, strict=True)
        ]
        if sum(likeness) < _HARDLY_ANYTHING * len(likeness):
            message = f"It has hardly anything in common with {self.one.tablature.name}."
            hint = "Two sources of one piece are held against each other; longneck compare shows what they share."
            yield Diagnostic(CANNOT_COLLATE, Span(self.two.tablature.name, 1, 1, 1), message, hint)

    def views(self, bars: Sequence[SoundingBar]) -> list[View]:
        return [view_of(bar) for bar in bars]

    def other_views(self) -> list[View]:
        return [view_of(bar, self.shift) for bar in self.other]

    # --- writing --------------------------------------------------------------------------------------------

    def collated(self, inherited: tuple[SourceText, ...], *, labels: bool) -> Collated:
        """The text, or why there is none."""
        siglum, tablature = self.witness.siglum, self.one.tablature
        writer = Writer(siglum, self.level, self.hand, naming_of(self.one.heading), naming_of(self.two.heading))
        against = held_against(self.views(self.mine), self.other_views(), self.places)
        said = taken_views(tablature, self.one.heading, siglum)
        typed = by_typed(self.one)
        forces = list(_forces(as_source(tablature), self.one))
        bars = [item for item in tablature.body if isinstance(item, Bar)]
        made: dict[int, Bar] = {}
        apart: list[Diagnostic] = []
        for number, (bar, group) in enumerate(zip(bars, typed, strict=False)):
            if group[0].index >= len(self.mine):
                break
            views = [against[one.index] for one in group if one.index < len(against)]
            if self._says(said[number], views) and (readings_of(bar, siglum) or _whole(bar, siglum)):
                continue
            bare = without(bar, siglum, tablature.signs, words=False)
            places = [
                Place(bare, view_of(one), view_of(self.mine[one.index]), view, forces[number])
                for one, view in zip(group, views, strict=False)
            ]
            if not any(map(writer.differs, places)):
                made[number] = bare
            elif len(places) > 1:
                message = f"Bars {group[0].label}–{group[-1].label} are not written out, and {siglum} differs in them."
                apart.append(Diagnostic(CANNOT_COLLATE, bar.span, message, "Type them out, and collate again."))
            elif views[0] is NOTHING:
                made[number] = writer.omitted(bare)
            else:
                made[number] = writer.written(places[0], labels=labels)
        apart += self._unknown_marks()
        if apart:
            return Collated(None, siglum, diagnostics=tuple(apart))
        return self._proved(self._put(made, inherited), typed)

    def _says(self, said: Sequence[View], views: Sequence[View]) -> bool:
        """Whether what a text says of the other source is what it has."""
        one, two = naming_of(self.one.heading), naming_of(self.two.heading)
        return key_of(joined(said), self.level, one) == key_of(joined(views), self.level, two)

    def _unknown_marks(self) -> Iterator[Diagnostic]:
        for printed, place in self.hand.unknown.items():
            message = f"The mark “{printed}” is not declared in {self.one.tablature.name}."
            yield Diagnostic(CANNOT_COLLATE, place, message, "Declare it in that heading too: mark T = …")

    def _put(self, made: dict[int, Bar], inherited: tuple[SourceText, ...]) -> Tablature:
        """The whole text with these bars, read again from its canonical layout."""
        body: list[BodyItem] = []
        number = 0
        for item in self.one.tablature.body:
            body.append(made.get(number, item) if isinstance(item, Bar) else item)
            number += isinstance(item, Bar)
        tablature = declared(replace(self.one.tablature, body=tuple(body)), self.one.heading, self.witness)
        return parse(SourceText.of(tablature.name, write_encoding(tablature)), inherited).value

    # --- the proof ------------------------------------------------------------------------------------------

    def _proved(self, text: Tablature, typed: Sequence[Sequence[SoundingBar]]) -> Collated:
        """The text, if it says what both have; otherwise where it does not."""
        siglum, one, two = self.witness.siglum, naming_of(self.one.heading), naming_of(self.two.heading)
        said = taken_views(text, self.one.heading, siglum)
        last = self.mine[-1].index
        reach = sum(1 for group in typed if group[0].index <= last)
        there = run_of([view for views in said[:reach] for view in views], self.level, one)
        wanted = run_of(self.other_views(), self.level, two)
        before = edition_of(self.one.tablature, siglum).body
        kept = write_encoding(replace(edition_of(text, siglum), heading=())) == write_encoding(
            replace(self.one.tablature, heading=(), body=before)
        )
        if there != wanted or not kept:
            return Collated(None, siglum, diagnostics=(self._unsaid(there, wanted),))
        bars = [item for item in text.body if isinstance(item, Bar)]
        written = tuple(
            Written(typed[number][0].label, bars[number].span.line, lines)
            for number in range(reach)
            if (lines := _lines(bars[number], siglum, text))
        )
        return Collated(text, siglum, written, len(self.mine), self.notes)

    def _unsaid(
        self, there: Sequence[tuple[int, str, object]], wanted: Sequence[tuple[int, str, object]]
    ) -> Diagnostic:
        """Where what was to be written would not say what the other source has."""
        pairs = zip(there, wanted, strict=False)
        at = next((two[0] for one, two in pairs if one != two), wanted[-1][0] if wanted else 0)
        bar = next((bar for bar in reversed(self.other) if bar.onset <= at), self.other[0])
        message = (
            f"What {self.witness.siglum} has in bar {bar.label or 'before the first'} cannot be said as a reading."
        )
        return Diagnostic(CANNOT_COLLATE, bar.bar.span, message, "longneck compare says what differs.", bar=bar.label)


def _ends_at(last: SoundingBar, beyond: SoundingBar, short: SoundingPiece, long: SoundingPiece) -> Diagnostic:
    message = (
        f"{short.tablature.name} breaks off after bar {last.label}: nothing is said of it from bar {beyond.label} of "
        f"{long.tablature.name} on."
    )
    hint = "If its source ends there, type the bar line that ends it: |||"
    return Diagnostic(SOURCE_BREAKS_OFF, last.bar.span, message, hint, bar=last.label)


def _whole(bar: Bar, siglum: str) -> bool:
    return any(variant.witness == siglum for variant in bar.variants)


def _lines(bar: Bar, siglum: str, text: Tablature) -> tuple[str, ...]:
    """The lines of a bar that speak of a source, as typed."""
    alone = replace(
        bar,
        layers=(),
        variants=tuple(variant for variant in bar.variants if variant.witness == siglum),
        notes=tuple(note for note in bar.notes if note.kind is NoteKind.WITNESS and note.who == siglum),
    )
    lines = write_encoding(replace(text, version=0, heading=(), body=(alone,))).splitlines()
    return tuple(line for line in lines if line.startswith(('"', "!", "+")) and not _of_the_bar(line, lines))


def _of_the_bar(line: str, lines: Sequence[str]) -> bool:
    """Whether a line continues the bar itself."""
    first = next((at for at, each in enumerate(lines) if each.startswith(('"', "!"))), len(lines))
    return lines.index(line) < first


def _forces(plain: Tablature, piece: SoundingPiece) -> Iterator[Value | None]:
    """The value in force before each bar typed, as the source has it."""
    force: Value | None = None
    alone = lone_signs(plain.body, piece.heading)
    for item in plain.body:
        if isinstance(item, Bar):
            yield None if item.span in alone else force
            for event in item.items:
                if isinstance(event, Event):
                    force = after(None if item.span in alone else force, event)
