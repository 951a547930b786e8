"""A change written into the text of a piece: the emendation at its place, everything else byte for byte as it was."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.desk.misprints.proposal import Edit

_LINE_END = re.compile("\r\n|\r|\n")
_MARK = "\ufeff"


@dataclass(frozen=True, slots=True)
class Note:
    """A note line to be written: its letter, the line itself, and behind which line of the text (from 1) it goes;
    0: at the line that the change itself begins."""

    letter: str
    text: str
    behind: int


class CannotEmendError(Exception):
    """The text is not what the change was made for; the message says why."""


def emended(text: str, edits: Sequence[Edit], note: Note | None = None) -> str:
    """``text`` with all edits made, their places counted as in ``SourceText``; with ``note``, its label stands at the
    first of them and its line under the bar.

    Raises CannotEmendError where the text does not hold what an edit replaces, or two edits overlap.
    """
    starts, ends = _lines(text)
    newline = _newline(text)
    pieces: list[tuple[int, int, str]] = []
    for number, edit in enumerate(edits):
        begin, end = _place(edit, starts, ends)
        if text[begin:end] != edit.before:
            raise CannotEmendError(f"line {edit.span.line} has changed")
        label, tail = "", edit.tail
        if note is not None and not number:
            label = f'"{note.letter}'
            if tail.startswith("\n"):
                tail = f"\n{note.text}{tail}"
        pieces.append((begin, end, (edit.after + label + tail).replace("\n", newline)))
    if note is not None and note.behind:
        at = ends[min(note.behind, len(ends)) - 1]
        pieces.append((at, at, newline + note.text))
    return _replaced(text, sorted(pieces))


def _replaced(text: str, pieces: list[tuple[int, int, str]]) -> str:
    found: list[str] = []
    done = 0
    for begin, end, new in pieces:
        if begin < done:
            raise CannotEmendError("two changes meet at one place")
        found += [text[done:begin], new]
        done = end
    return "".join((*found, text[done:]))


def _lines(text: str) -> tuple[list[int], list[int]]:
    """Where each line begins and ends, its line end left out; a byte order mark belongs to no line."""
    starts, ends = [len(_MARK) if text.startswith(_MARK) else 0], []
    for match in _LINE_END.finditer(text):
        ends.append(match.start())
        starts.append(match.end())
    ends.append(len(text))
    return starts, ends


def _place(edit: Edit, starts: list[int], ends: list[int]) -> tuple[int, int]:
    line = edit.span.line - 1
    if not 0 <= line < len(starts):
        raise CannotEmendError(f"there is no line {edit.span.line}")
    begin, end = starts[line] + edit.span.start - 1, starts[line] + edit.span.end - 1
    if end > ends[line]:
        raise CannotEmendError(f"line {edit.span.line} has changed")
    return begin, end


def _newline(text: str) -> str:
    found = _LINE_END.search(text)
    return found.group() if found else "\n"
