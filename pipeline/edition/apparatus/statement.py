"""What the edition says of itself, made from what is really there: the source, the reading, the editor's decisions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from pipeline.model.apparatus import OF_THE_READING, Entry, Kind, Statement, Subject
from pipeline.model.heading import Heading, Witness
from pipeline.model.signs import Signs
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import BarlineAct
from pipeline.model.voiced import VoicedPiece

#: What the editor did with the source's signs, as it is counted.
_DECIDED = (
    (Kind.EMENDED, "emended"),
    (Kind.ADDED, "added"),
    (Kind.REMOVED, "left out"),
    (Kind.SUPPLIED_ILLEGIBLE, "supplied where the source is illegible"),
    (Kind.SUPPLIED_LOST, "supplied where the source is lost"),
)
_UNSURE = (
    (Kind.DOUBTFUL, "read with doubt"),
    (Kind.ILLEGIBLE, "illegible, and not supplied"),
    (Kind.LOST, "lost, and not supplied"),
)
_RATIOS = {1: "in the note values of the source", 2: "with the note values of the source doubled"}


def statement_of(voiced: VoicedPiece, entries: Sequence[Entry]) -> Statement:
    """Every sentence, with its counts."""
    counts = Counter(entry.kind for entry in entries)
    piece = voiced.sounding
    return Statement(
        tuple(_facts(piece, entries, counts)),
        tuple(_readings(voiced, counts)),
        tuple(_decisions(piece, entries, counts)),
        tuple(_signs(piece, entries, counts)),
    )


# --- what the source has --------------------------------------------------------------------------------------


def _facts(piece: SoundingPiece, entries: Sequence[Entry], counts: Counter[Kind]) -> Iterator[str]:
    heading = piece.heading
    yield from _sources(heading.witnesses, entries)
    bars = piece.tablature.bars
    events = sum(len(bar.events) for bar in bars)
    signs = "letters" if heading.signs is Signs.FRENCH else "figures"
    yield (
        f"The tablature is printed in the {signs} and rhythm signs of the source:"
        f" {_many(len(bars), 'bar')}, {_many(events, 'event')}."
    )
    if counts[Kind.WRITTEN_OUT]:
        said = _many(counts[Kind.WRITTEN_OUT], "place")
        yield f"At {said} the source only says that bars are repeated; they are written out here."
    scale = "as the heading of the edition declares it" if heading.scale_declared else "the usual one: none is declared"
    if len(heading.instrument.courses) > heading.instrument.stopped:
        yield f"The tuning of the diapasons is {scale}."


def _sources(witnesses: Sequence[Witness], entries: Sequence[Entry]) -> Iterator[str]:
    if not witnesses:
        yield "No source is declared."
        return
    first, *others = witnesses
    yield f"The text follows {first.siglum}: {first.text}."
    readings = Counter(entry.siglum for entry in entries if entry.siglum)
    for other in others:
        if readings[other.siglum]:
            yield f"{other.siglum}, {other.text}, is collated: {_many(readings[other.siglum], 'reading')} given."
        else:
            yield f"{other.siglum}, {other.text}, is declared; no reading of it is given."
    declared = {witness.siglum for witness in witnesses}
    for siglum in sorted(set(readings) - declared):
        yield f"{siglum} is not described: {_many(readings[siglum], 'reading')} given."


# --- what is read into it -------------------------------------------------------------------------------------


def _readings(voiced: VoicedPiece, counts: Counter[Kind]) -> Iterator[str]:
    yield "Tablature says which string is struck, and when; it says nothing about voices or how long a sound lasts."
    yield voiced.led.method
    restored, asked = counts[Kind.RESTORED], counts[Kind.ASKED]
    if restored:
        one = restored == 1
        yield (
            f"{_many(restored, 'note')} {'is' if one else 'are'} taken to be meant an octave off"
            f" {'its' if one else 'their'} sound; the staves print the sound, and mark the octave."
        )
    if asked:
        yield (
            f"For {_many(asked, 'note')} this is only possible; {'it is' if asked == 1 else 'they are'} marked "
            "as a question."
        )
    if not restored and not asked:
        yield "No line is taken to be meant in an octave other than the one it sounds in."
    if voiced.key_found:
        yield "The key signature is read from the music; none is declared."


# --- what the editor decided ----------------------------------------------------------------------------------


def _decisions(piece: SoundingPiece, entries: Sequence[Entry], counts: Counter[Kind]) -> Iterator[str]:
    yield from _values(piece.heading)
    done = [f"{_of(entries, kind)} {words}" for kind, words in _DECIDED if counts[kind]]
    if done:
        yield f"Changed by the editor: {'; '.join(done)}."
    else:
        yield "Nothing is changed against the source."
    unsure = [f"{_of(entries, kind)} {words}" for kind, words in _UNSURE if counts[kind]]
    if unsure:
        yield f"Uncertain in the source: {'; '.join(unsure)}."
    if counts[Kind.PINNED]:
        yield f"Voice, length or octave is fixed by the editor in {_many(counts[Kind.PINNED], 'place')}."
    bare = sum(1 for entry in entries if entry.kind in dict(_DECIDED) and not entry.reason)
    if bare:
        yield f"No reason is given for {bare} of these changes."
    who = [f"{initials}: {name}" for initials, name in piece.heading.editors]
    if who:
        yield f"Initials: {', '.join(who)}".rstrip(".") + "."


def _values(heading: Heading) -> Iterator[str]:
    ratio = heading.values
    whole = _RATIOS.get(ratio.numerator) if ratio.denominator == 1 else None
    if whole is None and ratio.numerator == 1:
        times = {2: "halved", 4: "quartered"}.get(ratio.denominator, f"divided by {ratio.denominator}")
        whole = f"with the note values of the source {times}"
    yield f"The staves are written {whole or f'at {ratio} of the note values of the source'}."


def _of(entries: Sequence[Entry], kind: Kind) -> str:
    """``3 signs and 1 bar line``."""
    subjects = Counter(entry.subject for entry in entries if entry.kind is kind)
    parts = [
        _many(count, subject.value) for subject, count in sorted(subjects.items(), key=lambda each: _RANK[each[0]])
    ]
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


_RANK = {subject: rank for rank, subject in enumerate(Subject)}


# --- how it is shown ------------------------------------------------------------------------------------------


def _signs(piece: SoundingPiece, entries: Sequence[Entry], counts: Counter[Kind]) -> Iterator[str]:
    acts = {(entry.kind, entry.subject) for entry in entries}
    supplied = {Kind.ADDED, Kind.SUPPLIED_ILLEGIBLE, Kind.SUPPLIED_LOST}
    if any(kind in supplied and subject not in (Subject.SLUR, Subject.BAR_LINE) for kind, subject in acts):
        yield "Square brackets: supplied by the editor."
    if counts[Kind.DOUBTFUL]:
        yield "Question mark: read with doubt."
    if (Kind.ADDED, Subject.SLUR) in acts:
        yield "Dashed slur: the editor’s."
    if any(bar.bar.closing.act is BarlineAct.ADDED for bar in piece.bars):
        yield "Dashed bar line: the editor’s."
    if any(entry.kind not in OF_THE_READING for entry in entries):
        yield "Number in a ring: a note at the foot of the page."


def _many(number: int, what: str) -> str:
    """``1 bar``, ``2 bars``."""
    return f"1 {_ONE.get(what, what)}" if number == 1 else f"{number} {_PLURALS.get(what, f'{what}s')}"


_ONE = {Subject.WORDS.value: "word"}
_PLURALS = {Subject.DIRECTIVE.value: "lines between bars", Subject.WORDS.value: Subject.WORDS.value}
