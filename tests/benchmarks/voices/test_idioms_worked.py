"""Idioms in bars worked by hand. What is right follows from what each idiom is (common practice, no source).

Sources are lines of pitch (MIDI number) and length in quarters, in bars of four quarters, the first voice first.
"""

from __future__ import annotations

import random
from itertools import pairwise
from typing import Any

from pipeline.model.time import WHOLE
from tests.benchmarks.voices.idioms import broken, divisions, making, songs, strums, textures, thin
from tests.benchmarks.voices.idioms.making import Order
from tests.benchmarks.voices.idioms.model import Place, Source, Strung, Texture, Tone

HALF = WHOLE // 2


def of_lines(*lines: str) -> Source:
    tones, end = [], 0
    for voice, line in enumerate(lines):
        at = 0
        for word in line.split():
            pitch, length = word.split(":")
            tones.append(Tone(voice, at, int(length) * WHOLE // 4, int(pitch)))
            at += int(length) * WHOLE // 4
        end = max(end, at)
    bars = tuple((at, WHOLE) for at in range(0, end, WHOLE))
    order = sorted(tones, key=lambda tone: (tone.onset, tone.voice))
    return Source("made", "made", tuple(order), bars, ((0, 4, 4),), 0, len(lines))


CHORD = of_lines("72:4", "67:4", "64:4", "48:4")


def test_unisons_are_one_stop_with_two_lengths() -> None:
    # tune C5 B4 in halves, alto C5 whole: one string for both voices, each with its own value
    found = textures.vocal(of_lines("72:2 71:2", "72:4", "48:4"), random.Random(1)).sounds
    assert (found[0].pitch, found[0].voices, found[0].lengths) == (72, (0, 1), (HALF, WHOLE))
    assert (found[1].pitch, found[1].voices, found[1].lengths) == (48, (2,), (WHOLE,))


def test_a_figure_stands_over_a_bass_that_rings() -> None:
    # C3 E4 G4 C5: the bass sounds to the next bass, the others follow one at a time
    for seed in range(20):
        texture = broken.figure(CHORD, random.Random(seed))
        heads = [sound for sound in texture.sounds if 1 in sound.voices]
        ends = [sound.onset + sound.lengths[-1] for sound in heads]
        assert {sound.pitch for sound in heads} == {48}
        assert ends == [*(sound.onset for sound in heads[1:]), WHOLE]  # no gap, no overlap
        upper = [sound for sound in texture.sounds if 1 not in sound.voices]
        assert {sound.pitch for sound in upper} <= {64, 67, 72} and len(upper) >= 6
        assert all(a.onset < b.onset for a, b in pairwise(texture.sounds))  # one note at a time


def test_a_figure_goes_as_its_order_says() -> None:
    assert broken.pattern([60, 64, 67], 5, "up") == [60, 64, 67, 60, 64]
    assert broken.pattern([60, 64, 67], 5, "up and down") == [60, 64, 67, 64, 60]
    assert broken.pattern([60, 64, 67], 4, "top between") == [67, 60, 67, 64]


def test_one_note_a_voice_is_held_to_the_end_of_the_chord() -> None:
    texture = broken.one_a_voice(of_lines("72:4", "64:4", "48:4"), random.Random(3))
    first = [sound for sound in texture.sounds if sound.onset < texture.sounds[0].lengths[0]]
    assert first[0].voices == (2,)  # the bass begins
    assert len({sound.onset + sound.lengths[0] for sound in first}) == 1  # all end together
    assert {sound.voices[0] for sound in first} == {0, 1, 2}


def test_a_run_leads_by_step_to_the_next_note() -> None:
    def run(pitch: int, goal: int, fifths: int, up_first: bool) -> list[int]:
        return [tone.pitch for tone in divisions.run(Tone(0, 0, HALF, pitch), goal, WHOLE // 8, fifths, up_first)]

    assert run(72, 79, 0, True) == [72, 74, 76, 77]  # four eighths from C5 to G5, a fifth up: C D E F
    assert run(72, 72, 0, True) == [72, 74, 76, 74]  # to the same note: two steps up, two down
    assert run(79, 79, 1, False) == [79, 78, 76, 78]  # with one sharp the step below G is F sharp


def test_a_run_fills_its_note_and_the_rest_is_held() -> None:
    source = of_lines("72:4 67:4", "64:4 62:4", "48:4 47:4")
    played = [divisions.divisions(source, random.Random(seed)) for seed in range(30)]
    assert sum(len(texture.sounds) > 12 for texture in played) > 15
    for texture in played:
        for voice in range(3):
            line = [(s.onset, s.lengths[s.voices.index(voice)]) for s in texture.sounds if voice in s.voices]
            assert sum(length for _, length in line) == 2 * WHOLE
            assert all(at + length == after for (at, length), (after, _) in pairwise(line))


def test_a_final_long_is_held() -> None:
    # eight wholes would be a run of 64 notes at least, through more octaves than an instrument has
    source = of_lines("72:32", "48:32")
    for seed in range(20):
        for idiom in (divisions.divisions, divisions.bells):
            assert [s.lengths for s in idiom(source, random.Random(seed)).sounds] == [(8 * WHOLE,), (8 * WHOLE,)]


def test_bells_fall_on_other_courses() -> None:
    # the runs are the same sort; only in bells should neighbours ring over one another, so lie on different courses
    source = of_lines("76:4 72:4 74:4 71:4 72:4 67:4", "48:4 45:4 50:4 43:4 48:4 48:4")

    def changes(idiom: str) -> float:
        found = total = 0
        for seed in range(12):
            record: dict[str, Any] = making.make(source, Order(idiom, "literal", "easiest", seed))
            line = [s["course"] for event in record["events"] for s in event["stops"] if 0 in s["voices"]]
            found += sum(a != b for a, b in pairwise(line))
            total += len(line) - 1
        return found / total

    assert changes("bells") > changes("divisions") + 0.1


def test_free_courses_are_doubled_in_the_chord_and_under_the_hand() -> None:
    # theorbo in A: G3 on the fourth course open, E3 on the fifth at fret 2, C3 on the sixth at fret 3. Free above:
    # the third (B3) has C4 at fret 1, the second (E3) is in the chord open, the first (A3) has C4 at fret 3.
    strung = Strung("theorbo in A", (57, 52, 59, 55, 50, 45), 6, (1, 2))
    sounds = textures.vocal(of_lines("55:4", "52:4", "48:4"), random.Random(1)).sounds
    places = {0: Place(4, 0, 55), 1: Place(5, 2, 52), 2: Place(6, 3, 48)}
    filled, placed = strums.doubled(Texture(sounds, 3, ((0, "d"),)), places, strung, reach=4, most=6)
    assert {placed[n].course: placed[n].fret for n in range(3, len(filled.sounds))} == {1: 3, 2: 0, 3: 1}
    assert all(sound.filler and not sound.voices for sound in filled.sounds[3:])


def test_strums_are_marked_and_their_voices_kept() -> None:
    found = [strums.strums(CHORD, random.Random(seed)) for seed in range(20)]
    marked = [texture for texture in found if texture.marks]
    assert len(marked) > 10  # in some pieces the bar is left as the voices have it
    for texture in marked:
        assert texture.marks[0] == (0, "d") and {sign for _, sign in texture.marks} <= {"u", "d"}
        for onset, _ in texture.marks:
            assert sorted(v for s in texture.sounds if s.onset == onset for v in s.voices) == [0, 1, 2, 3]


def test_a_song_has_its_bass_typed_and_leaves_the_tune_to_the_singer() -> None:
    source = of_lines("77:2 76:2", "69:4", "64:4", "48:2 43:2")
    found = [songs.song(source, random.Random(seed)) for seed in range(20)]
    for texture in found:
        assert [(tone.onset, tone.pitch) for tone in texture.typed_bass] == [(0, 48), (HALF, 43)]
        low = [(s.onset, s.pitch, s.lengths) for s in texture.sounds if s.role == "bass"]
        assert low == [(0, 48, (HALF,)), (HALF, 43, (HALF,))]
    sung = [77 not in {sound.pitch for sound in texture.sounds} for texture in found]
    assert any(sung) and not all(sung)  # mostly sung only, now and then doubled


def test_thin_voices_are_two_and_never_both_silent() -> None:
    source = of_lines(*(" ".join(f"{pitch}:4" for _ in range(12)) for pitch in (72, 64, 48)))
    rested = 0
    for seed in range(10):
        texture = thin.thin(source, random.Random(seed))
        assert texture.voices == 2
        assert {sound.onset for sound in texture.sounds} == {onset for onset, _ in source.bars}
        rested += len(texture.sounds) < 24
    assert rested > 5
