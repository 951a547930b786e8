"""A MIDI file with nothing in it but what is read: a few bytes more could ask for millions of empty bars."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from pipeline.model.limits import LONGEST_VOICE, MOST_IN_METRE, MOST_VOICE_BARS, MOST_VOICE_TRACKS
from pipeline.source.partbook.safety import BrokenError, TooMuchError

#: Bytes of data behind a status byte, by its upper half (Standard MIDI Files 1.0; MIDI 1.0, table 1).
_DATA = {0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}
_META, _SYSTEM = 0xFF, (0xF0, 0xF7)
#: What is kept: notes and instruments; a track's name, its words, keys and metres.
_KEPT = (0x8, 0x9, 0xC)
_NAME, _WORDS, _END, _METRE, _KEY = 0x03, 0x05, 0x2F, 0x58, 0x59


class _Event(NamedTuple):
    """``delta`` ticks after the one before; ``kind`` is the status byte, ``meta`` the type of a meta event."""

    delta: int
    kind: int
    meta: int
    data: bytes


def cleaned(data: bytes) -> bytes:
    """A MIDI file written anew. Raises BrokenError, TooMuchError."""
    if len(data) < 14 or data[:4] != b"MThd":
        raise BrokenError("it is not a MIDI file")
    division = int.from_bytes(data[12:14], "big")
    if not 0 < division < 0x8000:
        raise BrokenError("it does not count time in crotchets")
    tracks = [list(_events(track)) for track in islice(_tracks(data), MOST_VOICE_TRACKS + 1)]
    if len(tracks) > MOST_VOICE_TRACKS:
        raise TooMuchError(f"it has more than {MOST_VOICE_TRACKS} tracks")
    longest = max((sum(event.delta for event in track) for track in tracks), default=0) / division
    shortest = min((_bar(event.data) for track in tracks for event in track if event.meta == _METRE), default=4.0)
    if longest > LONGEST_VOICE:
        raise TooMuchError(f"it lasts longer than {LONGEST_VOICE:,} crotchets")
    if longest > MOST_VOICE_BARS * min(4.0, shortest):
        raise TooMuchError(f"it has more than {MOST_VOICE_BARS:,} bars")
    head = b"MThd\0\0\0\6" + data[8:10] + len(tracks).to_bytes(2, "big") + data[12:14]
    return head + b"".join(_written(track) for track in tracks)


def _tracks(data: bytes) -> Iterator[bytes]:
    place = 8 + int.from_bytes(data[4:8], "big")
    while place + 8 <= len(data):
        end = place + 8 + int.from_bytes(data[place + 4 : place + 8], "big")
        if end > len(data):
            raise BrokenError("it is cut off")
        if data[place : place + 4] == b"MTrk":
            yield data[place + 8 : end]
        place = end


def _events(track: bytes) -> Iterator[_Event]:
    """Every event up to the end of the track, those that are not kept as well: they count as time."""
    place, status = 0, 0
    try:
        while place < len(track):
            delta, place = _number(track, place)
            meta = 0
            if track[place] & 0x80:
                status = track[place]
                place += 1
            if status == _META:
                meta = track[place]
                place += 1
            if status == _META or status in _SYSTEM:
                size, place = _number(track, place)
            else:
                size = _DATA[status >> 4]
            event = _Event(delta, status, meta, track[place : place + size])
            place += size
            if place > len(track):
                raise BrokenError("a track of it is cut off")
            if meta == _END:
                yield event
                return
            yield event
    except (IndexError, KeyError) as error:
        raise BrokenError("a track of it is damaged") from error


def _number(track: bytes, place: int) -> tuple[int, int]:
    """A number of seven bits a byte, four bytes at most, and the place behind it."""
    value = 0
    for at in range(place, place + 4):
        value = value << 7 | track[at] & 0x7F
        if not track[at] & 0x80:
            return value, at + 1
    raise KeyError(place)


def _bar(metre: bytes) -> float:
    """The crotchets of a bar of this metre."""
    beats, beat = (metre[0], metre[1]) if len(metre) > 1 else (0, 0)
    if not 0 < beats <= MOST_IN_METRE or beat > 6:
        raise BrokenError("a metre in it makes no sense")
    return float(4 * beats / 2**beat)


def _written(track: list[_Event]) -> bytes:
    written, waiting = bytearray(), 0
    for event in track:
        waiting += event.delta
        if event.kind == _META and event.meta in (_NAME, _WORDS, _METRE, _KEY):
            body = bytes((_META, event.meta)) + _variable(len(event.data)) + event.data
        elif event.kind >> 4 in _KEPT:
            body = bytes((event.kind,)) + bytes(byte & 0x7F for byte in event.data)
        else:
            continue
        written += _variable(waiting) + body
        waiting = 0
    written += _variable(waiting) + bytes((_META, _END, 0))
    return b"MTrk" + len(written).to_bytes(4, "big") + bytes(written)


def _variable(number: int) -> bytes:
    """A number as MIDI writes it, seven bits a byte."""
    parts = [number & 0x7F]
    while number := number >> 7:
        parts.append(0x80 | number & 0x7F)
    return bytes(reversed(parts))
