"""Laws of the reduction: playable by two hands, nothing invented, the outer lines kept. Source: the project's own
rule (a hand reaches a tenth and holds three parts); common practice, no source."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise

from hypothesis import given
from hypothesis import strategies as st

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.reduce import reduce
from pipeline.edition.spell import spell
from pipeline.model.copy import Fullness
from pipeline.model.voiced import Part, VoicedNote, VoicedPiece
from tests.laws import music, rich
from tests.laws.test_exchange import PIECES, law
from tests.made import resolved

#: A tenth in semitones, as in a major tenth: C to E.
TENTH = 16
PARTS_A_HAND = 3
fullnesses = st.sampled_from(Fullness)
#: Music with pinned octaves: every stop of the first bar is labelled, the pin says where its line is meant.
pinned = st.tuples(music.chords, st.sampled_from(["up", "down"]), music.pieces).map(
    lambda parts: f'| 1="a={parts[0]}\n"a > octave {parts[1]}\n{parts[2]}'
)
_pinned = st.tuples(music.metres.map(lambda metre: rich.HEADING.format(metre=metre)), pinned)
pieces = st.one_of(PIECES, _pinned)


def voiced(piece: tuple[str, str]) -> VoicedPiece:
    heading, lines = piece
    return spell(lead(resolved(lines, heading)[0]))


def by_onset(notes: tuple[VoicedNote, ...]) -> dict[int, list[VoicedNote]]:
    return {onset: list(group) for onset, group in groupby(notes, key=lambda note: note.led.onset)}


def end(note: VoicedNote) -> int:
    return note.led.onset + note.led.length


@law(150)
@given(pieces, fullnesses)
def test_every_note_leads_back_to_its_stop(piece: tuple[str, str], fullness: Fullness) -> None:
    """Each is a note of the piece, at most once, at its own moment, with its own stop, no longer than it was."""
    before = voiced(piece)
    known = {note.led.id: note for note in before.notes}
    after = reduce(before, fullness).notes
    assert max(Counter(note.led.id for note in after).values(), default=1) == 1
    for note in after:
        source = known[note.led.id]
        assert (note.led.onset, note.led.stop) == (source.led.onset, source.led.stop)
        assert 0 < note.led.length <= source.led.length


@law(150)
@given(pieces, fullnesses)
def test_no_voice_overlaps_itself(piece: tuple[str, str], fullness: Fullness) -> None:
    after = reduce(voiced(piece), fullness).notes
    for voice in {note.led.voice for note in after}:
        moments = list(by_onset(tuple(note for note in after if note.led.voice == voice)).values())
        for group in moments:
            assert len({note.led.length for note in group}) == 1
            assert len({note.led.part for note in group}) == 1
        for group, following in pairwise(moments):
            assert end(group[0]) <= following[0].led.onset


@law(150)
@given(pieces, fullnesses)
def test_notes_are_in_order(piece: tuple[str, str], fullness: Fullness) -> None:
    """As the record promises: by onset, then voice, then from high to low; voices 1 and 2 are for the upper staff."""
    after = reduce(voiced(piece), fullness)
    assert list(after.notes) == sorted(
        after.notes, key=lambda note: (note.led.onset, note.led.voice, -note.spelling.semitones)
    )
    parts = {1: Part.UPPER, 2: Part.ALTO, 3: Part.TENOR, 4: Part.BASS}
    assert all(note.led.part is parts[note.led.voice] for note in after.notes)
    assert after.led.voices == 4


@law(300)
@given(pieces)
def test_hands_reach_what_they_hold(piece: tuple[str, str]) -> None:
    """At every moment, held notes counted."""
    after = reduce(voiced(piece), Fullness.PLAYABLE).notes
    for moment in {note.led.onset for note in after}:
        sounding = [note for note in after if note.led.onset <= moment < end(note)]
        for hand in ((1, 2), (3, 4)):
            pitches = [note.spelling.semitones for note in sounding if note.led.voice in hand]
            assert len(pitches) <= PARTS_A_HAND
            assert not pitches or max(pitches) - min(pitches) <= TENTH


@law(150)
@given(pieces, fullnesses)
def test_doubled_unisons_stand_once(piece: tuple[str, str], fullness: Fullness) -> None:
    """Only the two outer lines may meet on one sound."""
    for group in by_onset(reduce(voiced(piece), fullness).notes).values():
        doubled = Counter(note.spelling.semitones for note in group)
        for pitch, count in doubled.items():
            if count > 1:
                parts = [note.led.part for note in group if note.spelling.semitones == pitch]
                assert sorted(part.value for part in parts) == ["bass", "upper"]


@law(150)
@given(pieces, fullnesses)
def test_outer_voices_are_never_lost(piece: tuple[str, str], fullness: Fullness) -> None:
    """The top of the upper line and the foot of the bass, as they are meant, each in its own voice."""
    before = by_onset(voiced(piece).notes)
    after = by_onset(reduce(voiced(piece), fullness).notes)
    for onset, group in before.items():
        upper = [note.meant.semitones for note in group if note.led.part is Part.UPPER]
        bass = [note.meant.semitones for note in group if note.led.part is Part.BASS]
        kept = after.get(onset, [])
        if upper:
            assert max(upper) in [note.spelling.semitones for note in kept if note.led.voice == 1]
        if bass:
            assert min(bass) in [note.spelling.semitones for note in kept if note.led.voice == 4]


@law(150)
@given(pieces)
def test_a_sketch_is_the_outer_voices_alone(piece: tuple[str, str]) -> None:
    """Each note is of the line that it belongs to; only where no upper line begins, the highest stands for it."""
    before = voiced(piece)
    parts = {note.led.id: note.led.part for note in before.notes}
    together = by_onset(before.notes)
    for onset, group in by_onset(reduce(before, Fullness.SKETCH).notes).items():
        assert max(Counter(note.led.voice for note in group).values()) == 1
        assert all(note.led.part in (Part.UPPER, Part.BASS) for note in group)
        for note in group:
            if parts[note.led.id] is not note.led.part:
                assert note.led.part is Part.UPPER
                assert all(other.led.part is not Part.UPPER for other in together[onset])
                assert note.meant.semitones == max(other.meant.semitones for other in together[onset])


@law(150)
@given(pieces)
def test_the_full_texture_keeps_every_pitch(piece: tuple[str, str]) -> None:
    before = voiced(piece)
    after = by_onset(reduce(before, Fullness.FULL).notes)
    for onset, group in by_onset(before.notes).items():
        meant = {note.meant.semitones for note in group}
        assert meant == {note.spelling.semitones for note in after[onset]}


@law(150)
@given(pieces, fullnesses)
def test_octaves_are_applied(piece: tuple[str, str], fullness: Fullness) -> None:
    """Every note stands as it is meant. Only an inner note of the playable texture may be moved up, by octaves; it
    then no longer says that its own octave was restored."""
    before = voiced(piece)
    known = {note.led.id: note for note in before.notes}
    for note in reduce(before, fullness).notes:
        meant = known[note.led.id].meant
        if note.spelling == meant:
            assert note.led.restored == known[note.led.id].led.restored
        else:
            assert fullness is Fullness.PLAYABLE
            assert (note.spelling.step, note.spelling.alter) == (meant.step, meant.alter)
            assert note.spelling.octave - meant.octave in (1, 2)
            assert note.led.restored is None


@law(100)
@given(pieces, fullnesses)
def test_the_reduction_can_be_notated(piece: tuple[str, str], fullness: Fullness) -> None:
    """Every note of it stands in the score, as long as it is."""
    after = reduce(voiced(piece), fullness)
    lengths: Counter[str] = Counter()
    for measure in notate(after).measures:
        for layer in measure.layers:
            for event in layer.events:
                for head in event.heads:
                    lengths[head.stop] += event.ticks
    assert lengths == Counter({note.led.id: note.led.length for note in after.notes})
