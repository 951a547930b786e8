"""From one text to another by the lines that differ, so that an editor keeps its place in all others; and tidying."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from pipeline.desk.converse.record import TextChange
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+\Z")
_END = re.compile(r"\r\n|\r|\n")
#: Of more lines that differ all are replaced at once.
MOST_COMPARED = 3_000


def tidied(source: SourceText, text: str, inherited: tuple[SourceText, ...] = ()) -> tuple[TextChange, ...]:
    """What ``longneck tidy`` would change in ``text``, which ``source`` was made from; its line ends stay the
    editor's own."""
    return rewritten(text, write_encoding(parse(source, inherited).value))


def rewritten(before: str, after: str) -> tuple[TextChange, ...]:
    """The changes, in order, that make one text of another; ``after`` gets the line ends of ``before``."""
    end = _END.search(before)
    old = _LINE.findall(before.removeprefix("\ufeff"))
    new = _LINE.findall(_END.sub(end.group() if end else "\n", after))
    return tuple(_changes(old, new))


def applied(text: str, changes: Sequence[TextChange]) -> str:
    """The text with the changes made, which may not overlap."""
    lines = _LINE.findall(text)
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line))
    done = text
    for change in sorted(changes, key=lambda one: (one.line, one.start), reverse=True):
        first = _offset(lines, starts, change.line, change.start)
        last = _offset(lines, starts, change.end_line, change.end)
        done = done[:first] + change.text + done[last:]
    return done


def _offset(lines: Sequence[str], starts: Sequence[int], line: int, column: int) -> int:
    mark = int(line == 1 and bool(lines) and lines[0].startswith("\ufeff"))
    return starts[min(line, len(starts)) - 1] + column - 1 + mark


def _changes(old: Sequence[str], new: Sequence[str]) -> Iterator[TextChange]:
    most = min(len(old), len(new))
    above = next((at for at in range(most) if old[at] != new[at]), most)
    most -= above
    below = next((at for at in range(most) if old[-1 - at] != new[-1 - at]), most)
    left, right = old[above : len(old) - below], new[above : len(new) - below]
    if not (left or right):
        return
    if max(len(left), len(right)) > MOST_COMPARED:
        yield _change(old, above, len(old) - below, right)
        return
    for act, first, last, other, end in SequenceMatcher(None, left, right, autojunk=False).get_opcodes():
        if act != "equal":
            yield _change(old, above + first, above + last, right[other:end])


def _change(old: Sequence[str], first: int, last: int, new: Sequence[str]) -> TextChange:
    return TextChange(*_place(old, first), *_place(old, last), "".join(new))


def _place(lines: Sequence[str], before: int) -> tuple[int, int]:
    """The beginning of a line, from 0; of the one behind the last: where that ends."""
    if before and before == len(lines) and not _END.search(lines[-1]):
        return before, len(lines[-1]) + 1
    return before + 1, 1
