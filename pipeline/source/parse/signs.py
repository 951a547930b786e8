"""One figure or letter on one course, in both systems of signs."""

from __future__ import annotations

import re
from typing import NoReturn

from pipeline.findings.codes.syntax import BARE_FIGURE, UNKNOWN_LETTER
from pipeline.model.glyphs import FRENCH_DIAPASONS, FRET_LETTERS
from pipeline.model.signs import FretState, Sign
from pipeline.source.parse.cursor import Cursor
from pipeline.source.parse.heads import read_dots

#: Where a sign begins: a figure, a letter, a slash, the shorthand ``:`` or an unclear line (``?:``).
SIGN_START = re.compile(r"[\dX:a-zA-Z/]|[?*]:")

_UNCLEAR = re.compile(r"[?*]:")
_DIGITS = re.compile(r"\d+")
_FIGURE = re.compile(r"\d+|X")
_SLASHES = re.compile(r"/*")
_NO_LETTER = re.compile(r"[?*-]")
_LETTER = re.compile(r"[a-zA-Z]")
_EQUALS = re.compile("=")
_ITALIAN = "Italian figures are read here: 3:2, diapasons 7 8 9 X 11 …; for letters, declare signs french"
_STATES = {"?": FretState.ILLEGIBLE, "*": FretState.LOST, "-": FretState.HOLD}

#: Letters of the French system; ``y`` is another i, ``r`` another c. There is no j.
LETTERS = {letter: fret for fret, letter in enumerate(FRET_LETTERS)} | {"y": 8, "r": 2}

#: Bare figures that are diapasons, and the course each stands for.
ITALIAN_DIAPASONS = {str(number): number for number in range(7, 20)} | {"X": 10}


def read_italian(cursor: Cursor) -> Sign:
    """sign = course ":" (fret dots | "?" | "*" | "-") | ("?"|"*") ":" fret dots | ":" … | diapason (dots | "-") ;
    fret = "0" … "12" | "X" ;   diapason = "7" … "14" | "X" ;"""
    unclear = cursor.take(_UNCLEAR)
    if unclear:
        return _italian_fret(cursor, None, unclear[0])
    if cursor.char(":"):
        return _italian_fret(cursor, None, "", shorthand=True)
    start = cursor.pos
    figure = cursor.take(_FIGURE)
    if figure is None:
        _not_italian(cursor)
    if cursor.char(":"):
        return _italian_fret(cursor, _course(cursor, figure, start), "")
    course = ITALIAN_DIAPASONS.get(figure)
    if course is None:
        _bare_figure(cursor, figure, start)
    return _diapason(cursor, course, 0, figure)


def read_french(cursor: Cursor) -> Sign:
    """sign = course letter dots | course ":" ("?" | "*" | "-") | ("?"|"*") ":" letter dots | ":" …
    | diapason (dots | "-") ;   diapason = {"/"} letter | "4" | "5" | "6" | "7" ;"""
    unclear = cursor.take(_UNCLEAR)
    if unclear:
        return _french_fret(cursor, None, unclear[0])
    if cursor.char(":"):
        return _french_state(cursor, None) or _french_fret(cursor, None, "", shorthand=True)
    start = cursor.pos
    digits = cursor.take(_DIGITS)
    if digits is None:
        return _french_diapason(cursor)
    if cursor.char(":"):
        course = _course(cursor, digits, start)
        state = _french_state(cursor, course)
        if state is None:
            _colon_before_letter(cursor, digits, start)
        return state
    if cursor.sees(_LETTER):
        return _french_fret(cursor, _course(cursor, digits, start), "")
    if digits not in FRENCH_DIAPASONS:
        hint = "Bare figures are the diapasons 4 5 6 7 (courses 11 to 14); a stop is its course and a letter: 3c"
        if cursor.sees(_NO_LETTER):
            hint = f"Where no letter is read, the colon stands: {digits}:{cursor.text[cursor.pos]}"
        cursor.expected("a letter", hint)
    return _diapason(cursor, FRENCH_DIAPASONS[digits], 0, digits)


def _italian_fret(cursor: Cursor, course: int | None, course_sign: str, shorthand: bool = False) -> Sign:
    """fret dots | "?" | "*" | "-" ;   a fret only where the line is unclear"""
    if not course_sign:
        state = cursor.char("?*-")
        if state:
            return Sign(course, None, _STATES[state], "", shorthand=shorthand)
    start = cursor.pos
    figure = cursor.take(_FIGURE)
    if figure is None:
        letter = cursor.take(_LETTER)
        hint = _ITALIAN if letter else ""
        cursor.expected("a fret", hint, start=start)
    if len(figure) > 2 or (figure[0] == "0" and figure != "0"):
        cursor.expected("a fret from 0 to 12", "One stop, one fret: 3:1 3:0", start=start, end=cursor.pos)
    fret = 10 if figure == "X" else int(figure)
    dots = read_dots(cursor)
    return Sign(course, fret, FretState.READ, figure, False, dots, course_sign, shorthand)


def _french_fret(cursor: Cursor, course: int | None, course_sign: str, shorthand: bool = False) -> Sign:
    """letter dots ;"""
    letter = _letter(cursor)
    dots = read_dots(cursor)
    return Sign(course, LETTERS[letter], FretState.READ, letter, False, dots, course_sign, shorthand)


def _french_state(cursor: Cursor, course: int | None) -> Sign | None:
    """ "?" | "*" | "-" ;   behind a colon"""
    state = cursor.char("?*-")
    return Sign(course, None, _STATES[state], "", shorthand=course is None) if state else None


def _french_diapason(cursor: Cursor) -> Sign:
    """diapason = {"/"} letter ;   a stands for the open string"""
    slashes = cursor.take(_SLASHES) or ""
    if not slashes and not cursor.sees(_LETTER):
        cursor.expected("a stop", _stop_hint(cursor))
    letter = _letter(cursor)
    return _diapason(cursor, 7 + len(slashes), LETTERS[letter], slashes + letter)


def _letter(cursor: Cursor) -> str:
    """letter = "a" … "i" | "k" | "l" | "m" | "n" | "y" | "r" ;"""
    start = cursor.pos
    letter = cursor.take(_LETTER)
    if letter is None:
        cursor.expected("a letter")
    if letter not in LETTERS:
        hint = "Letters are a b c d e f g h i k l m n, with y for i and r for c"
        if letter == "j":
            hint = "There is no j: the letter after i is k"
        elif letter.lower() in LETTERS:
            hint = f"Letters are small: {letter.lower()}"
        cursor.stop(f"There is no fret called “{letter}”.", hint, code=UNKNOWN_LETTER, start=start, end=cursor.pos)
    return letter


def _diapason(cursor: Cursor, course: int, fret: int, typed: str) -> Sign:
    """diapason (dots | "-") ;"""
    if cursor.char("-"):
        return Sign(course, None, FretState.HOLD, typed, True)
    return Sign(course, fret, FretState.READ, typed, True, read_dots(cursor))


def _course(cursor: Cursor, digits: str, start: int) -> int:
    """course = "1" … "99" ;"""
    if len(digits) > 2 or digits[0] == "0" or digits == "X":
        hint = "Course 10 is typed 10 before a colon." if digits == "X" else "Courses are counted from 1"
        cursor.expected("a course", hint, start=start, end=start + len(digits))
    return int(digits)


def _bare_figure(cursor: Cursor, figure: str, start: int) -> NoReturn:
    if cursor.sees(_LETTER):
        cursor.expected("a colon", _ITALIAN)
    if cursor.sees(_EQUALS):
        cursor.expected("the end of the event", "White space separates events: 4=3:2 8=3:3", start=start)
    value = (
        f"; a value is joined to its event by =: {figure}=3:0"
        if figure in {"0", "1", "2", "4", "16", "32", "64"}
        else ""
    )
    cursor.stop(
        f"A bare figure is a diapason from 7 on, not “{figure}”.",
        f"A fret needs its course: type 3:{figure}{value}" if len(figure) < 3 else "",
        code=BARE_FIGURE,
        start=start,
        end=cursor.pos,
    )


def _not_italian(cursor: Cursor) -> NoReturn:
    if cursor.sees(_LETTER) or cursor.sees(re.compile("/")):
        hint = _ITALIAN
        if cursor.sees(re.compile("[xX]")):
            hint = "The tenth course is a capital X"
        cursor.expected("a stop", hint)
    cursor.expected("a stop", _stop_hint(cursor))


def _colon_before_letter(cursor: Cursor, digits: str, start: int) -> NoReturn:
    rest = cursor.text[cursor.pos :]
    if rest[:1].isdigit():
        hint = "French letters are read here: 3c; for figures, declare signs italian"
    else:
        hint = f"Before a letter the colon is left out: {digits}{rest}"
    cursor.expected("?, * or -", hint)


def _stop_hint(cursor: Cursor) -> str:
    rest = cursor.text[cursor.pos :]
    if rest[:1] == "'":
        return "A mark follows its stop, or stands over the event: 's=3:2"
    if rest[:1] == "-":
        return "A hold names its course: 5:-"
    if rest[:1] == '"':
        return 'A label follows its sign: 3:2"a; on the whole event it stands first: "a=3:2'
    return ""
