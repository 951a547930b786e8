"""The file in which a reader's marks are kept beside the piece: what is read, and notes for oneself.

It is JSON, one mark a line, so that it can be kept under version control and merged by hand.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.desk.proof.reading.contents import BarText

#: Raised when the form of the file changes.
FORM = 1
#: Bytes; the marks of a piece of 10,000 bars, with notes, stay below.
LARGEST = 2**20


class NotMarksError(Exception):
    """A file that holds no marks; the message says what is wrong, ``line`` and ``column`` (from 1) where."""

    def __init__(self, message: str, line: int = 1, column: int = 1) -> None:
        super().__init__(message)
        self.line, self.column = line, column


@dataclass(frozen=True, slots=True)
class Note:
    """What the reader notes of a bar: its number as it then was, what it then held, the words."""

    bar: str
    content: str
    text: str


@dataclass(frozen=True, slots=True)
class Marks:
    """The contents of bars that are read, and the notes."""

    read: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a piece is read: lines of bars in all, those that are read, those left (lines of the text), notes;
    ``changed`` counts the marks of bars that hold something else now, or are gone."""

    bars: int
    read: int
    left: tuple[int, ...]
    notes: tuple[Note, ...] = ()
    changed: int = 0


def read_marks(data: bytes) -> Marks:
    """The marks in a file's bytes. Raises NotMarksError."""
    if len(data) > LARGEST:
        raise NotMarksError(f"it holds more than {LARGEST // 2**20} MB")
    try:
        found = json.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise NotMarksError("it is not UTF-8") from error
    except RecursionError as error:
        raise NotMarksError("it is nested too deeply") from error
    except json.JSONDecodeError as error:
        raise NotMarksError(f"it is not JSON: {error.msg}", error.lineno, error.colno) from error
    if not isinstance(found, dict) or found.get("form") != FORM:
        raise NotMarksError(f"“form” is not {FORM}: it is no file of marks, or one of another version")
    read, notes = found.get("read", []), found.get("notes", [])
    if not isinstance(read, list) or not all(isinstance(one, str) for one in read):
        raise NotMarksError("“read” is not a list of contents of bars")
    if not isinstance(notes, list):
        raise NotMarksError("“notes” is not a list")
    return Marks(tuple(dict.fromkeys(read)), tuple(_note(one, number) for number, one in enumerate(notes, start=1)))


def _note(found: object, number: int) -> Note:
    if isinstance(found, dict):
        bar, content, text = (found.get(name) for name in ("bar", "content", "text"))
        if isinstance(bar, str) and isinstance(content, str) and isinstance(text, str):
            return Note(bar, content, text)
    raise NotMarksError(f"note {number} has no “bar”, “content” and “text” in quotes")


def progress_of(bars: Sequence[BarText], marks: Marks) -> Progress:
    """What is read of these bars, and what is left. Linear time."""
    read = frozenset(marks.read)
    left = tuple(bar.line for bar in bars if bar.content not in read)
    done = len(bars) - len(left)
    return Progress(len(bars), done, left, marks.notes, len(read) - done)
