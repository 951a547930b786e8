"""Sung lines, their words and figures, and chord letters of two bars."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.desk.compare.content import BarContent, ChordContent, SungContent, SyllableContent
from pipeline.desk.compare.differ.align import aligned
from pipeline.desk.compare.differ.ledger import Ledger
from pipeline.desk.compare.differ.likeness import sung_likeness
from pipeline.desk.compare.differ.words import joined, length_words, reading_words, value_words
from pipeline.desk.compare.difference import Kind
from pipeline.model.signs import Reading

Notes = Sequence[SungContent]


def compare_sung(ledger: Ledger, one: BarContent, two: BarContent) -> None:
    """Every line beside the tablature, then the chord letters."""
    left, right = dict(one.sung), dict(two.sung)
    for name in (*left, *(name for name in right if name not in left)):
        _line(ledger, name, left.get(name, ()), right.get(name, ()))
    ledger.in_event(0, 0, "")
    if one.chords != two.chords:
        _chords(ledger, one.chords, two.chords)


def _line(ledger: Ledger, name: str, one: Notes, two: Notes) -> None:
    if one == two:
        return
    for left, right in aligned(one, two, sung_likeness):
        before = one[left] if left is not None else None
        after = two[right] if right is not None else None
        ledger.in_event(left + 1 if left is not None else 0, right + 1 if right is not None else 0, "note")
        if before is None or after is None:
            spans = (before.span if before is not None else None, after.span if after is not None else None)
            ledger.say(Kind.SUNG, f"line {name}", _whole(before), _whole(after), spans)
        elif before != after:
            _note(ledger, name, before, after)


def _note(ledger: Ledger, name: str, one: SungContent, two: SungContent) -> None:
    subject, spans = f"line {name}", (one.span, two.span)
    if _sung(one) != _sung(two):
        ledger.say(Kind.SUNG, subject, _sung(one), _sung(two), spans)
    if one.value != two.value:
        before, after = (value_words(note.value) if note.value is not None else "plain" for note in (one, two))
        ledger.say(Kind.SUNG, f"{subject}, rhythm sign", before, after, spans)
    if one.marks != two.marks:
        ledger.marks(subject, one.marks, two.marks, spans, over=True)
    ledger.notes(subject, one.notes, two.notes, spans)
    if one.figures != two.figures:
        ledger.say(Kind.FIGURES, subject, _figures(one), _figures(two), spans)
    _words(ledger, subject, one, two)


def _words(ledger: Ledger, subject: str, one: SungContent, two: SungContent) -> None:
    left = {syllable.stanza: syllable for syllable in one.syllables}
    right = {syllable.stanza: syllable for syllable in two.syllables}
    for stanza in sorted({*left, *right}):
        before, after = left.get(stanza), right.get(stanza)
        if before == after:
            continue
        place, spans = f"{subject}, stanza {stanza}", (one.span, two.span)
        if _syllable(before) != _syllable(after):
            ledger.say(Kind.WORDS, place, _syllable(before), _syllable(after), spans)
        ledger.notes(place, before.notes if before is not None else (), after.notes if after is not None else (), spans)


def _whole(note: SungContent | None) -> str:
    if note is None:
        return ""
    words = " / ".join(_syllable(syllable) for syllable in note.syllables)
    return joined((_sung(note), words, _figures(note)))


def _sung(note: SungContent) -> str:
    """Pitch, length, tie: ``D5 minim, tied to the note before``."""
    if note.unread:
        what = "a word that cannot be read"
    else:
        reading = Reading(note.act, note.pitch or "rest", note.source or None, note.doubtful, note.source_doubtful)
        what = reading_words(reading, str)
    return joined(
        (
            f"{what} ({length_words(note.length)})",
            "tied to the note before" if note.tied else "",
            "fermata" if note.fermata else "",
        )
    )


def _figures(note: SungContent) -> str:
    return f"figures {', then '.join(rows for _, rows in note.figures)}" if note.figures else ""


def _syllable(syllable: SyllableContent | None) -> str:
    if syllable is None:
        return ""
    before = "-" if syllable.place in {"middle", "end"} else ""
    after = "-" if syllable.place in {"begin", "middle"} else ""
    edition = f"“{before}{syllable.text}{after}”{' drawn out' if syllable.extends else ''}" if syllable.text else None
    return reading_words(Reading(syllable.act, edition, syllable.source or None), str)


def _chords(ledger: Ledger, one: tuple[ChordContent, ...], two: tuple[ChordContent, ...]) -> None:
    left = {(chord.over, chord.at): chord for chord in one}
    right = {(chord.over, chord.at): chord for chord in two}
    for over, at in sorted({*left, *right}):
        before, after = left.get((over, at)), right.get((over, at))
        if before == after:
            continue
        ledger.in_event(at, at, ("note" if over else "event") if at else "")
        spans = (before.span if before is not None else None, after.span if after is not None else None)
        subject = f"chord letter over line {over}" if over else "chord letter"
        ledger.say(Kind.CHORD, subject, _chord(before), _chord(after), spans)
    ledger.in_event(0, 0, "")


def _chord(chord: ChordContent | None) -> str:
    if chord is None:
        return ""
    return reading_words(Reading(chord.act, chord.text or None, chord.source or None), str)
