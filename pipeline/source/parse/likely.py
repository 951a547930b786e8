"""What a word that cannot be read was most likely meant to be: signs that look alike, keys that lie side by side.

Nothing is repaired: the word stays as it is typed, and the finding says what may have been meant.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple
from unicodedata import name

from pipeline.model.signs import Signs

#: Signs that other alphabets and text programs put in the place of those of the encoding.
LOOKALIKES = {
    **dict.fromkeys("‐‑‒–—―−", "-"),
    **dict.fromkeys("“”„‟″«»", '"'),
    **dict.fromkeys("‘’‚‛′´`", "'"),
    **dict.fromkeys("ХхΧ×", "X"),
    **dict.fromkeys("ОοΟо", "0"),
    **dict.fromkeys("，‚", ","),
    **dict.fromkeys("：∶", ":"),
    **dict.fromkeys("＝", "="),
    **dict.fromkeys("！", "!"),
    **dict.fromkeys("？", "?"),
    **dict.fromkeys("｜│¦∣", "|"),
    **dict(zip("асеТМВ", "aceTMB", strict=True)),
}
_PLAIN = str.maketrans(LOOKALIKES)

_FIGURES = (("O", "0"), ("o", "0"), ("l", "1"), ("I", "1"))
_JOINTS = ((";", ":"), (";", ","), (".", ":"), (".", ","), (",,", ","))


class Likely(NamedTuple):
    """The sign ``typed`` at ``start`` of the word stands where ``meant`` is; ``word`` is the whole as it would then
    be. ``foreign`` says that it comes from another alphabet."""

    start: int
    typed: str
    meant: str
    word: str
    foreign: bool = False

    @property
    def message(self) -> str:
        """What is expected there; the name of a sign that looks just like the one meant."""
        called = f" ({name(self.typed, 'a sign without a name').lower()})" if self.foreign else ""
        return f"Expected “{self.meant}”, not “{self.typed}”{called}."


def plain(text: str) -> str:
    """The text with all signs that only look like those of the encoding put right."""
    return text.translate(_PLAIN)


def likely(text: str, signs: Signs, reads: Callable[[str], bool]) -> Likely | None:
    """The first reading of an unreadable word that ``reads`` accepts; None if there is none.

    Tried in order: signs of other alphabets, then letters for figures (O for 0, l for 1; in Italian signs only), then
    a semicolon or full stop for a colon or comma."""
    for start, typed, meant, word, foreign in _tries(text, signs):
        if reads(word):
            return Likely(start, typed, meant, word, foreign)
    return None


def _tries(text: str, signs: Signs) -> Iterator[Likely]:
    strange = next((at for at, char in enumerate(text) if char in LOOKALIKES), None)
    if strange is not None:
        yield Likely(strange, text[strange], LOOKALIKES[text[strange]], plain(text), foreign=True)
    slips = (*_FIGURES, *_JOINTS) if signs is Signs.ITALIAN else _JOINTS
    for typed, meant in slips:
        places = [match.start() for match in re.finditer(re.escape(typed), text)]
        if not places:
            continue
        yield Likely(places[0], typed, meant, text.replace(typed, meant))
        if len(places) > 1:
            for at in places:
                yield Likely(at, typed, meant, text[:at] + meant + text[at + len(typed) :])
