"""Sung lines and basses as they are heard: ties joined, the next stanza each time the music comes round."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from operator import attrgetter

from pipeline.edition.perform.played import played
from pipeline.model.performance import Passage, PlayedNote, PlayedPart, Sounder
from pipeline.model.record import replace
from pipeline.model.song import SungLine, SungNote, WordPlace
from pipeline.model.sounding import SoundingBar
from pipeline.model.time import Ticks

_onset: Callable[[SungNote], Ticks] = attrgetter("onset")


def sung_part(line: SungLine, plan: Sequence[Passage], bars: Sequence[SoundingBar]) -> PlayedPart:
    """A sung line; a note ends where the next begins, even where the typing overlaps."""
    notes: list[PlayedNote] = []
    for note in line.notes:
        if note.pitch is None:
            continue
        pitch = note.pitch.semitones
        last = notes[-1] if notes else None
        if last is not None and last.onset + last.length > note.onset:
            last = notes[-1] = replace(last, length=max(1, note.onset - last.onset))
        if last is not None and note.tied and last.pitch == pitch and last.onset + last.length == note.onset:
            notes[-1] = replace(last, length=last.length + note.length)
        else:
            notes.append(PlayedNote(note.onset, note.length, pitch))
    sounder = Sounder.BASS if line.bass else Sounder.VOICE
    words = dict(_words(line, plan, bars))
    heard = (replace(note, text=words.get(note.onset, "")) for note in played(notes, plan))
    return PlayedPart(line.title or line.name, sounder, tuple(heard))


def most_turns(plan: Sequence[Passage]) -> int:
    """How often any place of the piece is played."""
    edges = sorted({edge for passage in plan for edge in (passage.start, passage.end)})
    counts = Counter[Ticks]()
    for passage in plan:
        counts.update(edges[bisect_left(edges, passage.start) : bisect_left(edges, passage.end)])
    return max(counts.values(), default=0)


def _words(line: SungLine, plan: Sequence[Passage], bars: Sequence[SoundingBar]) -> Iterator[tuple[Ticks, str]]:
    """The syllables by the moment at which they are sung.

    The first time a note is sung it has the words of the first stanza, then those of the next, and after the last the
    first again; in an ending those of the strain before it. A bar in which that stanza has no words (a refrain, an
    ending with words of its own) has those of the nearest stanza before it that has some, else of the first that does.
    Source: common practice.
    """
    stanzas: dict[int, set[int]] = defaultdict(set)
    for note in line.notes:
        stanzas[note.bar].update(word.stanza for word in note.syllables if word.text)
    turns = Counter[str]()
    turn = 1
    for passage in plan:
        here = line.notes[
            bisect_left(line.notes, passage.start, key=_onset) : bisect_left(line.notes, passage.end, key=_onset)
        ]
        for note in here:
            turns[note.id] += 1
            if not (note.bar < len(bars) and bars[note.bar].ending):
                turn = turns[note.id]
            text = _syllable(note, _stanza(turn, line.stanzas, stanzas[note.bar]))
            if text:
                yield note.onset + passage.shift, text


def _stanza(turn: int, stanzas: int, here: set[int]) -> int:
    """The stanza that is sung at a turn, of those with words in the bar."""
    wanted = (turn - 1) % max(1, stanzas) + 1
    below = [stanza for stanza in here if stanza <= wanted]
    return max(below) if below else min(here, default=wanted)


def _syllable(note: SungNote, stanza: int) -> str:
    for syllable in note.syllables:
        if syllable.stanza == stanza and syllable.text:
            goes_on = syllable.place in (WordPlace.BEGIN, WordPlace.MIDDLE)
            return f"{syllable.text}{'-' if goes_on else ' '}"
    return ""
