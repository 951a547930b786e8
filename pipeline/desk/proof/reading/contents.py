"""What each bar holds, by its typing alone: a bar that is read stays read while its signs stay what they are.

White space and comments are no content. What stands between bars (a section, a metre, a retuning) belongs to the bar
after it. The heading belongs to none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256

from pipeline.model.text import SourceText

#: Hexadecimal digits of a content: two bars of a piece that differ have the same with a chance of one in 10^9.
_DIGITS = 12


@dataclass(frozen=True, slots=True)
class BarText:
    """A line of the text that begins a bar (or several, as ``| ditto 2`` does), and what it holds, under a name that
    stays the same while that does. The second of equal ones ends in ``.2``."""

    line: int
    content: str


def bar_texts(text: SourceText) -> tuple[BarText, ...]:
    """Every line that begins a bar, in order. Linear time; a text with faults is read as far as its lines tell."""
    seen: Counter[str] = Counter()
    made = []
    for line, words in _bars(text):
        content = sha256("\n".join(words).encode(errors="surrogateescape")).hexdigest()[:_DIGITS]
        seen[content] += 1
        made.append(BarText(line, content if seen[content] == 1 else f"{content}.{seen[content]}"))
    return tuple(made)


def _bars(text: SourceText) -> Iterator[tuple[int, list[str]]]:
    """The number of each line that begins a bar, and all lines that belong to it, tidied."""
    line, under, between = 0, [""], [""]
    for number, typed in enumerate(text.lines, start=1):
        words = _words(typed)
        if not words:
            continue
        if words[0].startswith("|"):
            if line:
                yield line, under
            line, under, between = number, [*between[1:], " ".join(words)], [""]
        elif line and _is_between(words[0]):
            between.append(" ".join(words))
        elif line:
            under.append(" ".join(words))
    if line:
        yield line, [*under, *between[1:]]


def _words(typed: str) -> list[str]:
    """The words of a line without its comment, which begins at a word with a semicolon."""
    words = typed.split()
    end = next((place for place, word in enumerate(words) if word.startswith(";")), len(words))
    return words[:end]


def _is_between(first: str) -> bool:
    """Whether a line stands between bars: a directive, or a break of the source. Lines under a bar begin with a sign,
    a digit, or one letter for a voice, a bass or chords."""
    return first.startswith("&") or (first.isalpha() and len(first) > 1)
