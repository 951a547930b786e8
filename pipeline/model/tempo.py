"""Tempo words, and the number that an editor may put behind them: ``Adagio 4=60``."""

from __future__ import annotations

import re
from fractions import Fraction

from pipeline.model.record import Record
from pipeline.model.time import WHOLE, Value

#: Slower or faster than this no beat is followed (this project's own); crotchets of the edition a minute.
SLOWEST, FASTEST = 10, 400
_NUMBER = re.compile(r"(?:^|[\s,(]+)(0|1|2|4|8|16|32)(\.{0,2}) ?= ?(\d{1,5})\)?$")


class Tempo(Record, frozen=True):
    """``words`` without the number; ``count`` notes of a printed ``value`` a minute, no value where none is typed."""

    words: str
    value: Value | None = None
    count: int = 0

    def crotchets(self, ratio: Fraction) -> int:
        """Crotchets of the edition a minute, to the nearest; ``ratio`` is what it makes of printed values. 0 where no
        number is typed."""
        if self.value is None:
            return 0
        return round(Fraction(4 * self.count * self.value.ticks, WHOLE) * ratio)

    def possible(self, ratio: Fraction) -> bool:
        """False for a number that nobody can follow."""
        return self.value is None or SLOWEST <= self.crotchets(ratio) <= FASTEST


def tempo_of(text: str) -> Tempo:
    """The words of a ``tempo`` line. A number stands at their end: a rhythm sign as typed, ``=``, how many a minute."""
    match = _NUMBER.search(text)
    if match is None:
        return Tempo(text)
    return Tempo(text[: match.start()].rstrip(" ,("), Value(int(match[1]), len(match[2])), int(match[3]))
