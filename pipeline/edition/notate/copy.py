"""The singer's copy: sung lines over the reduction, no tablature; and what is said of it on its page."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from pipeline.edition.notate.clefs import of_voice, pair_of
from pipeline.edition.notate.drafts import head_id
from pipeline.edition.notate.front import (
    instrument_word,
    ornament_entries,
    small_note_entries,
    stemless_entries,
    values_told,
    witness_lines,
)
from pipeline.edition.notate.piece import notate
from pipeline.edition.notate.sung import ChordReader, SungReader, vocal_staff
from pipeline.edition.notate.voices import line_entries
from pipeline.model.copy import Copy, Fullness
from pipeline.model.heading import Heading
from pipeline.model.notes import Place, StaffEvent
from pipeline.model.record import replace
from pipeline.model.score import (
    USUAL_CLEFS,
    ChordSign,
    Credits,
    FigureColumn,
    LegendEntry,
    Measure,
    Score,
    SungStaff,
    VocalStaff,
    Words,
    WordsKind,
)
from pipeline.model.song import Figure, Song, SungLine
from pipeline.model.sounding import SoundingBar
from pipeline.model.time import Ticks
from pipeline.model.voiced import Part, VoicedPiece

#: Over the first of bars without values.
_FREE = "[unmeasured]"
#: Figures worked out for the bass of the reduction: stop id of the bass note → its columns.
WorkedOut = dict[str, tuple[Figure, ...]]
#: Names of chords by the moment they begin.
Names = Mapping[Ticks, str]
NO_NAMES: Names = MappingProxyType({})


def notate_copy(
    reduced: VoicedPiece, song: Song, copy: Copy, figures: WorkedOut | None = None, names: Names = NO_NAMES
) -> Score:
    """The reduction with its song as a score without tablature. ``figures`` stand under the lower staff; they are
    left out where the source prints a figured bass of its own. ``names`` of chords stand above the accompaniment."""
    score = notate(reduced, clefs=pair_of(reduced) if copy.moved else USUAL_CLEFS)
    bars = reduced.sounding.bars
    heads = _heads(score)
    readers = [SungReader(line, reduced.sounding.heading) for line in song.lines]
    chords = ChordReader(song)
    own_bass = any(line.bass for line in song.lines)
    columns = {} if own_bass else _columns(reduced, figures or {}, bars)
    named = _named(names, bars)
    measures = tuple(
        _sung(_bare(measure, heads), bar, readers, chords, (columns.get(bar.index, ()), named.get(bar.index, ())))
        for measure, bar in zip(_with_free_bars(score.measures, bars), bars, strict=True)
    )
    heading = reduced.sounding.heading
    return replace(
        score,
        credits=_credits(heading, song, copy),
        measures=measures,
        footnotes=(),
        legend=tuple(_method(measures, heading, song, copy, figured=bool(columns))),
        tablature=False,
        copy=True,
        turned=True,
        vocal=tuple(_staff(line, moved=bool(copy.moved)) for line in song.lines),
        accompaniment_title=instrument_word(heading) if song.lines else "",
        verses=song.verses,
    )


def _staff(line: SungLine, *, moved: bool) -> VocalStaff:
    staff = vocal_staff(line)
    return of_voice(staff, line) if moved else staff


def _heads(score: Score) -> frozenset[str]:
    return frozenset(
        head.id
        for measure in score.measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
    )


#: Words that a copy has no use for, or has in another place.
_OF_THE_TABLATURE = frozenset({WordsKind.FOLIO, WordsKind.RETUNE, WordsKind.FOOTNOTE})


def _bare(measure: Measure, heads: frozenset[str]) -> Measure:
    """A measure without its tablature, and without what hung on notes that the reduction leaves out."""
    spreads = (
        replace(
            spread,
            heads=tuple(head for head in spread.heads if head in heads),
            order=tuple(head for head in spread.order if head in heads),
        )
        for spread in measure.arpeggios
    )
    return replace(
        measure,
        tab=(),
        holds=(),
        dashes=(),
        slurs=tuple(slur for slur in measure.slurs if slur.start in heads and slur.end in heads),
        arpeggios=tuple(spread for spread in spreads if len(spread.heads) > 1),
        brackets=(),
        octave_runs=(),
        words=tuple(
            replace(words, tablature=False, at="") for words in measure.words if words.kind not in _OF_THE_TABLATURE
        ),
        folios=(),
        retuned=None,
        layout=None,
        footnote="",
        layers=tuple(
            replace(layer, events=tuple(_without_fingers(event) for event in layer.events)) for layer in measure.layers
        ),
    )


def _without_fingers(event: StaffEvent) -> StaffEvent:
    if not any(head.left_finger or head.right_finger or head.footnote for head in event.heads):
        return event
    return replace(
        event, heads=tuple(replace(head, left_finger="", right_finger="", footnote="") for head in event.heads)
    )


def _with_free_bars(measures: Sequence[Measure], bars: Sequence[SoundingBar]) -> Iterator[Measure]:
    """A reader of the copy does not see that no rhythm sign stands over a bar: words say where the music is
    unmeasured, and the metre is printed again behind it."""
    before = False
    for measure, bar in zip(measures, bars, strict=True):
        free = bar.unmeasured
        if free and not before:
            words = Words(f"{measure.id}free", WordsKind.DIRECTION, _FREE, 0, Place.ABOVE, tablature=False)
            yield replace(measure, words=(*measure.words, words))
        elif before and not free:
            yield replace(measure, metre=bar.metre)
        else:
            yield measure
        before = free


def _sung(
    measure: Measure,
    bar: SoundingBar,
    readers: Sequence[SungReader],
    chords: ChordReader,
    worked_out: tuple[Sequence[FigureColumn], Sequence[ChordSign]],
) -> Measure:
    """The measure with its sung lines, figures and chord letters."""
    sung: list[SungStaff] = []
    columns = list(worked_out[0])
    for reader in readers:
        staff, own = reader.measure(bar, measure.id)
        sung.append(staff)
        columns.extend(own)
    printed, _ = chords.measure(bar, measure.id)
    taken = {(sign.staff, sign.offset) for sign in printed}  # what the source has stands alone
    signs = (*printed, *(sign for sign in worked_out[1] if (sign.staff, sign.offset) not in taken))
    return replace(measure, sung=tuple(sung), figures=tuple(columns), chord_signs=signs)


def _named(names: Names, bars: Sequence[SoundingBar]) -> dict[int, tuple[ChordSign, ...]]:
    """Bar index → the names of chords that begin in it."""
    starts = [bar.onset for bar in bars]
    found: dict[int, list[ChordSign]] = {}
    for onset in sorted(names):
        at = bisect_right(starts, onset) - 1
        signs = found.setdefault(at, [])
        signs.append(ChordSign(f"h{at + 1}-{len(signs) + 1}", "", onset - starts[at], names[onset], "", named=True))
    return {at: tuple(signs) for at, signs in found.items()}


def _columns(
    reduced: VoicedPiece, figures: WorkedOut, bars: Sequence[SoundingBar]
) -> dict[int, tuple[FigureColumn, ...]]:
    """Bar index → the worked-out figures that stand in it, under the bass note they belong to."""
    found: dict[int, list[FigureColumn]] = {}
    at = 0
    for note in reduced.notes:
        if note.led.part is not Part.BASS or note.led.id not in figures:
            continue
        while at + 1 < len(bars) and bars[at].end <= note.led.onset:
            at += 1
        for number, figure in enumerate(figures[note.led.id], start=1):
            start = note.led.onset + figure.offset
            while at + 1 < len(bars) and bars[at].end <= start:  # a note tied over the bar line has figures there
                at += 1
            length = min(note.led.onset + note.led.length, bars[at].end) - start
            if length <= 0:
                continue
            column = FigureColumn(
                f"f-{note.led.id}-{number}",
                "",
                start - bars[at].onset,
                length,
                figure.rows,
                head_id(note.led.id, 1),
                editorial=True,
            )
            found.setdefault(at, []).append(column)
    return {index: tuple(columns) for index, columns in found.items()}


def _credits(heading: Heading, song: Song, copy: Copy) -> Credits:
    left = ["Singer’s copy" if song.lines else "Keyboard reduction"]
    left.append(copy.moved or "At the pitch of the source")
    if heading.pitch is not None:
        left.append(f"A4 = {heading.pitch:g} Hz")
    right = [heading.composer] if heading.composer else []
    right.extend(witness_lines(heading))
    return Credits(heading.title, _for_whom(heading, song), tuple(left), tuple(right))


def _for_whom(heading: Heading, song: Song) -> str:
    singers = sum(not line.bass for line in song.lines)
    instrument = instrument_word(heading).lower()
    if not singers:
        return f"reduced from the tablature for {instrument}"
    return f"for {'voice' if singers == 1 else f'{singers} voices'} and {instrument}"


def _method(
    measures: Sequence[Measure], heading: Heading, song: Song, copy: Copy, *, figured: bool
) -> Iterator[LegendEntry]:
    """Method and cautions: what is fact and what is reading, for people who do not see the tablature."""
    instrument = instrument_word(heading).lower()
    staves = "The small staves" if song.lines else "These staves"
    yield LegendEntry(
        "Method and cautions", f"{staves} reduce the tablature; they are not a keyboard part of the period."
    )
    if _any_octave(measures):
        yield LegendEntry(
            "8",
            f"beside a note: the {instrument} sounds it an octave lower, on a string tuned down. "
            "The octave printed is a reading of the line.",
        )
    read = "Voices and note lengths are read into the tablature, which gives neither."
    yield LegendEntry("", f"{read}{values_told(heading)}")
    if copy.fullness is Fullness.PLAYABLE:
        yield LegendEntry(
            "", "Doubled sounds stand once; inner notes that no hand would reach are left out or moved by an octave."
        )
    elif copy.fullness is Fullness.SKETCH:
        yield LegendEntry("", "A sketch: only the bass and the upper line of the tablature.")
    if figured:
        yield LegendEntry(
            "", "Figures are worked out from the tablature, counted from the lowest course, not the lowest sound."
        )
    if copy.chord_names:
        yield LegendEntry(
            "", "Names of chords are worked out in the same way; a bare third or sixth is taken as its chord."
        )
    yield LegendEntry("", "Parallels and low inversions belong to the instrument and are left alone.")
    if any(measure.arpeggios for measure in measures):
        yield LegendEntry("", "A wavy line spreads the chord.")
    if any(event.strum for measure in measures for layer in measure.layers for event in layer.events):
        yield LegendEntry("↑ ↓", "Strummed by the lute from the bass up, or back.")
    yield from small_note_entries(measures)
    yield from stemless_entries(measures)
    yield from ornament_entries(measures, heading)
    yield from _pitch_entries(song, copy)


def _pitch_entries(song: Song, copy: Copy) -> Iterator[LegendEntry]:
    yield from line_entries(song)
    if copy.moved:
        if copy.letters_left_out:
            names = "" if copy.chord_names else "; names worked out can be printed in their place"
            yield LegendEntry(
                "", f"The chord letters of the source are left out: they may name shapes of its own key{names}."
            )
        yield LegendEntry("", f"{copy.moved}: with the tablature at the pitch of the source this copy does not agree.")


def _any_octave(measures: Sequence[Measure]) -> bool:
    return any(
        head.octave is not None and not head.octave.asked
        for measure in measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
    )
