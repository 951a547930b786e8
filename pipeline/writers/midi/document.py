"""The file: a header and one chunk for each track. Form: Standard MIDI Files 1.0, format 1.

Tracks: first title, tempo and metres; then the sung lines and basses in their order; then the tablature; last the
click. Each part has a channel of its own, the click the one for percussion. All numbers by General MIDI.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from struct import pack

from pipeline.model.performance import Performance, PlayedPart, Sounder
from pipeline.model.pitch import CONCERT_A
from pipeline.model.time import WHOLE, Metre, Ticks

#: MIDI ticks to the crotchet: every value down to 1/128, and groups of 3, 5, 7, 9, fall on whole ticks.
DIVISION = 10080
_PER_TICK = WHOLE // 4 // DIVISION
#: Programs, counted from 0: voice oohs, cello, acoustic guitar with nylon strings.
_PROGRAMS = {Sounder.VOICE: 53, Sounder.BASS: 42, Sounder.LUTE: 24}
_LOUDNESS = {Sounder.VOICE: 96, Sounder.BASS: 72, Sounder.LUTE: 80}
_PERCUSSION = 9
#: High and low wood block, with their loudness; and how long a stroke lasts.
_FIRST, _OTHER, _STROKE = (76, 88), (77, 60), DIVISION // 16
_CHANNELS = [channel for channel in range(16) if channel != _PERCUSSION]

#: Moment, place among those of the same moment (an end goes before a beginning), message.
_Message = tuple[int, int, bytes]


def write_midi(performance: Performance) -> bytes:
    """The performance as bytes, always the same for the same performance.

    Where the heading declares a pitch standard other than 440 Hz every part is tuned to it with the registered
    parameters for coarse and fine tuning (1 and 2), to a hundredth of a cent; notes keep their written numbers.
    A pitch struck again while it sounds in the same part ends there. Pitches outside 0-127 are left out.
    """
    tracks = [_track(_frame(performance))]
    for number, part in enumerate(performance.parts):
        channel = _CHANNELS[number % len(_CHANNELS)]
        tracks.append(_track(_part(part, channel, performance.pitch)))
    tracks.append(_track(_click(performance)))
    header = b"MThd" + pack(">IHHH", 6, 1, len(tracks), DIVISION)
    return header + b"".join(tracks)


def _moment(ticks: Ticks) -> int:
    """MIDI ticks, to the nearest."""
    return (2 * ticks + _PER_TICK) // (2 * _PER_TICK)


def _frame(performance: Performance) -> list[_Message]:
    """Title, with how it was transposed; in text events what was assumed; tempi, metres."""
    moved = performance.moved
    how = moved.partition(",")[0]
    title = f"{performance.title} ({how[:1].lower()}{how[1:]})" if moved else performance.title
    messages = [(0, 0, _meta(3, title.encode()))]
    said = (f"{moved}.", *performance.remarks) if moved else performance.remarks
    messages += [(0, place, _meta(1, text.encode())) for place, text in enumerate(said, start=1)]
    after = len(said) + 1
    messages += [(_moment(at), after, _signature(metre)) for at, metre in performance.metres]
    for at, crotchets in performance.tempi:
        messages.append((_moment(at), after + 1, _meta(0x51, (60_000_000 // crotchets).to_bytes(3, "big"))))
    return messages


def _signature(metre: Metre) -> bytes:
    """Beats, unit as a power of two, MIDI clocks to a beat, 32nds to a crotchet."""
    unit = metre.unit.bit_length() - 1
    return _meta(0x58, bytes((min(metre.beats, 255), unit, max(1, 96 // metre.unit), 8)))


def _part(part: PlayedPart, channel: int, pitch: float | None) -> list[_Message]:
    """Name, program, tuning, notes."""
    messages: list[_Message] = [(0, 0, _meta(3, part.name.encode()))]
    if pitch is not None and pitch != CONCERT_A:
        messages.append((0, 1, _tuning(channel, pitch)))
    messages.append((0, 2, bytes((0xC0 | channel, _PROGRAMS[part.sounder]))))
    loud = _LOUDNESS[part.sounder]
    spans: dict[int, list[tuple[int, int]]] = {}
    for note in part.notes:
        if note.text:
            messages.append((_moment(note.onset), 3, _meta(5, note.text.encode())))
        if 0 <= note.pitch <= 127:
            start = _moment(note.onset)
            end = max(start + 1, _moment(note.onset + note.length))
            spans.setdefault(note.pitch, []).append((start, end))
    for number, played in spans.items():
        messages += _strokes(played, channel, number, loud)
    return messages


def _strokes(spans: list[tuple[int, int]], channel: int, pitch: int, loud: int) -> list[_Message]:
    """All strokes of one pitch; one ends where the next begins, and two at the same moment are one."""
    joined: list[tuple[int, int]] = []
    for start, end in sorted(spans):
        if joined and joined[-1][0] == start:
            joined[-1] = (start, max(end, joined[-1][1]))
            continue
        if joined and joined[-1][1] > start:
            joined[-1] = (joined[-1][0], start)
        joined.append((start, end))
    messages: list[_Message] = []
    for start, end in joined:
        messages.append((start, 4, bytes((0x90 | channel, pitch, loud))))
        messages.append((end, 3, bytes((0x80 | channel, pitch, 0))))
    return messages


def _click(performance: Performance) -> list[_Message]:
    messages: list[_Message] = [(0, 0, _meta(3, b"Click"))]
    for beat in performance.beats:
        key, loud = _FIRST if beat.first else _OTHER
        start = _moment(beat.onset)
        messages.append((start, 4, bytes((0x90 | _PERCUSSION, key, loud))))
        messages.append((start + _STROKE, 3, bytes((0x80 | _PERCUSSION, key, 0))))
    return messages


def _tuning(channel: int, pitch: float) -> bytes:
    """Registered parameters 2 (semitones, 64 is none) and 1 (fine, 8192 steps to a semitone) of a channel: several
    messages, each but the first with the zero delay before it."""
    distance = 12 * math.log2(pitch / CONCERT_A)
    semitones = round(distance)
    fine = max(0, min(16383, 8192 + round((distance - semitones) * 8192)))
    pairs = [(101, 0), (100, 2), (6, 64 + semitones), (101, 0), (100, 1), (6, fine >> 7), (38, fine & 127)]
    # The null parameter: what comes later changes no tuning.
    pairs += [(101, 127), (100, 127)]
    return b"\0".join(bytes((0xB0 | channel, control, value)) for control, value in pairs)


def _meta(kind: int, content: bytes) -> bytes:
    return bytes((0xFF, kind)) + _number(len(content)) + content


def _track(messages: Iterable[_Message]) -> bytes:
    """Messages in order of time, each with its distance from the one before, and the end."""
    now = 0
    parts: list[bytes] = []
    for moment, _, message in sorted(messages):
        parts += (_number(moment - now), message)
        now = moment
    body = b"".join(parts) + b"\0" + _meta(0x2F, b"")
    return b"MTrk" + pack(">I", len(body)) + body


def _number(value: int) -> bytes:
    """A variable-length quantity: seven bits a byte, all but the last marked."""
    found = [value & 127]
    while value := value >> 7:
        found.append(value & 127 | 128)
    return bytes(reversed(found))
