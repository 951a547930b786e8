"""How long a MIDI file lasts, before anything unfolds it: a few bytes can ask for millions of empty bars."""

from __future__ import annotations

#: Bytes of data behind a status byte, by its upper half (Standard MIDI Files 1.0; MIDI 1.0, table 1).
_DATA = {0x8: 2, 0x9: 2, 0xA: 2, 0xB: 2, 0xC: 1, 0xD: 1, 0xE: 2}
_META, _SYSTEM = 0xFF, (0xF0, 0xF7)


def crotchets(data: bytes) -> float:
    """The length of the longest track. What is damaged is counted up to the damage."""
    division = int.from_bytes(data[12:14], "big")
    if division & 0x8000:  # so many ticks of so many frames a second; at sixty crotchets a minute
        division = (256 - (division >> 8)) * (division & 0xFF)
    longest, place = 0, 14
    while place + 8 <= len(data):
        end = min(len(data), place + 8 + int.from_bytes(data[place + 4 : place + 8], "big"))
        if data[place : place + 4] == b"MTrk":
            longest = max(longest, _ticks(data[place + 8 : end]))
        place = end
    return longest / max(1, division)


def _ticks(track: bytes) -> int:
    total, place, status = 0, 0, 0
    while place < len(track):
        delta, place = _number(track, place)
        total += delta
        if place < len(track) and track[place] & 0x80:
            status = track[place]
            place += 1
        if status == _META:
            size, place = _number(track, place + 1)
            place += size
        elif status in _SYSTEM:
            size, place = _number(track, place)
            place += size
        else:
            place += _DATA.get(status >> 4, 1)
    return total


def _number(track: bytes, place: int) -> tuple[int, int]:
    """A number of seven bits a byte, and the place behind it."""
    value = 0
    while place < len(track):
        byte = track[place]
        place += 1
        value = value << 7 | byte & 0x7F
        if not byte & 0x80 or value > 1 << 28:
            break
    return value, place
