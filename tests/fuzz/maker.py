"""Hostile input made up without looking at the program: parts of real files put together wrongly, and words thrown in.

It works wherever Python does, gives the same inputs for the same seed, and needs nothing installed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random

#: Bytes of an input; now and then one is far larger.
USUAL, LARGE = 3_000, 60_000
_RARELY = 400


class Maker:
    """Makes inputs from ``parts`` (whole small files) and ``words``."""

    def __init__(self, parts: Sequence[bytes], words: Sequence[bytes], seed: int) -> None:
        self._parts, self._words = parts, words
        self._rng = Random(seed)
        self._changes: tuple[Callable[[bytes], bytes], ...] = (
            self._word, self._word, self._word, self._replaced, self._cut, self._doubled, self._line_away,
            self._line_moved, self._line_again, self._spliced, self._byte, self._number,
        )  # fmt: skip

    def input(self) -> bytes:
        """The next input."""
        rng = self._rng
        data = rng.choice(self._parts)
        for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 5, 8, 13))):
            data = rng.choice(self._changes)(data)
        if rng.randrange(_RARELY) == 0:
            data = data * max(1, LARGE // (len(data) + 1))
            return data[:LARGE]
        return data[:USUAL]

    def _place(self, data: bytes) -> int:
        return self._rng.randrange(len(data) + 1)

    def _word(self, data: bytes) -> bytes:
        at = self._place(data)
        return data[:at] + self._rng.choice(self._words) + data[at:]

    def _replaced(self, data: bytes) -> bytes:
        at = self._place(data)
        return data[:at] + self._rng.choice(self._words) + data[at + self._rng.randrange(1, 6) :]

    def _cut(self, data: bytes) -> bytes:
        at = self._place(data)
        return data[:at] + data[at + self._rng.choice((1, 1, 2, 4, 16, 200)) :]

    def _doubled(self, data: bytes) -> bytes:
        at, size = self._place(data), self._rng.choice((1, 2, 5, 20, 80))
        return data[:at] + data[at : at + size] * self._rng.choice((2, 2, 3, 20)) + data[at + size :]

    def _spliced(self, data: bytes) -> bytes:
        other = self._rng.choice(self._parts)
        return data[: self._place(data)] + other[self._place(other) :]

    def _byte(self, data: bytes) -> bytes:
        at = self._place(data)
        return data[:at] + bytes([self._rng.randrange(256)]) + data[at + 1 :]

    def _number(self, data: bytes) -> bytes:
        """Another number in place of one that is there."""
        places = [at for at, byte in enumerate(data) if 48 <= byte <= 57]
        if not places:
            return data
        at = self._rng.choice(places)
        number = self._rng.choice((b"0", b"1", b"7", b"12", b"64", b"99", b"1000", b"-1", b"4294967296"))
        return data[:at] + number + data[at + 1 :]

    def _line_away(self, data: bytes) -> bytes:
        lines = data.split(b"\n")
        del lines[self._rng.randrange(len(lines))]
        return b"\n".join(lines)

    def _line_moved(self, data: bytes) -> bytes:
        lines = data.split(b"\n")
        line = lines.pop(self._rng.randrange(len(lines)))
        lines.insert(self._rng.randrange(len(lines) + 1), line)
        return b"\n".join(lines)

    def _line_again(self, data: bytes) -> bytes:
        lines = data.split(b"\n")
        at = self._rng.randrange(len(lines))
        lines[at:at] = [lines[at]] * self._rng.choice((1, 1, 2, 9, 40))
        return b"\n".join(lines)
