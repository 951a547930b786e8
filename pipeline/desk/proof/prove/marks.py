"""Every place that the editor or the reading had a hand in, with the reason: the apparatus, said in a line."""

from __future__ import annotations

from pipeline.desk.proof.record import Hand, MarkedPlace
from pipeline.model.apparatus import Apparatus, Entry, Kind, Subject

_HANDS = {
    Kind.RESTORED: Hand.RESTORED,
    Kind.ASKED: Hand.ASKED,
    Kind.DOUBTFUL: Hand.DOUBTFUL,
    Kind.ILLEGIBLE: Hand.DOUBTFUL,
    Kind.LOST: Hand.DOUBTFUL,
    Kind.REMARK: Hand.NOTED,
    Kind.VARIANT: Hand.NOTED,
    Kind.PINNED: Hand.NOTED,
}


def marked_places(apparatus: Apparatus) -> tuple[MarkedPlace, ...]:
    """What the critical report lists, place by place. Linear time."""
    return tuple(_place(entry) for entry in apparatus.entries)


def _place(entry: Entry) -> MarkedPlace:
    hand = _HANDS.get(entry.kind, Hand.EMENDED)
    names = (entry.at, *entry.also)
    if entry.sounds is None or entry.meant is None:
        return MarkedPlace(hand, names, entry.bar, entry.kind.value, _said(entry))
    octaves = entry.meant.octave - entry.sounds.octave
    may = "may mean" if entry.kind is Kind.ASKED else "means"
    why = f"Sounds {entry.sounds}; the line {may} {entry.meant}: {entry.reason}."
    return MarkedPlace(hand, names, entry.bar, entry.kind.value, why, octaves, entry.sounds.name, entry.meant.name)


def _said(entry: Entry) -> str:
    """``Course 3: 5 in the source, here 2; digits confused (EB).``"""
    parts = []
    if entry.source and entry.source != entry.here:
        where = f"in source {entry.siglum}" if entry.siglum else "in the source"
        parts.append(entry.source if where in entry.source else f"{entry.source} {where}, here {entry.here}")
    elif entry.kind is not Kind.REMARK:
        parts.append(entry.here)
    if entry.reason:
        own = entry.who and ", " not in entry.who  # several who say several things are named in what they say
        parts.append(f"{entry.reason} ({entry.who})" if own else entry.reason)
    what = f"{_what(entry)}: {'; '.join(parts)}"
    return f"{what[:1].upper()}{what[1:]}."


def _what(entry: Entry) -> str:
    if entry.part:
        return f"{entry.subject.value}, {entry.part}"
    if entry.subject is Subject.SIGN:
        return f"course {entry.course}" if entry.course else "a figure on no certain line"
    course = f" on course {entry.course}" if entry.course else ""
    return f"{entry.subject.value}{course}"
