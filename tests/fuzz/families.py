"""Hostile families: texts of one bad shape that can be made as large as one likes, to see how time grows with size.

Each is a function from a size in characters to a text of about that size. Mended quadratic code stays mended because
``tests/test_hostile.py`` measures them small, and ``python -m tests.fuzz --growth --size N`` at any size.
"""

from __future__ import annotations

from collections.abc import Callable

HEAD = "longneck 1\ntitle T\ninstrument theorbo in A\nmetre C\n"
Family = Callable[[int], str]

FAMILIES: dict[str, Family] = {}


def _family(make: Family) -> Family:
    FAMILIES[make.__name__.strip("_").replace("_", " ")] = make
    return make


def _filled(unit: str, size: int, before: str = "", after: str = "") -> str:
    return before + unit * max(1, (size - len(before) - len(after)) // len(unit)) + after


def _numbered(unit: str, size: int, before: str = "") -> str:
    """``unit`` with a number in it, over and over."""
    count = max(1, (size - len(before)) // (len(unit) + 3))
    return before + "".join(unit.format(number) for number in range(count))


def _repeating(unit: str, before: str = HEAD + "\n", after: str = "") -> Family:
    def make(size: int) -> str:
        return _filled(unit, size, before, after)

    return make


_BAR = HEAD + "\n| 4="
_EMPTY = HEAD + "\n"
_HEADLESS = "longneck 1\n"
_SUNG = HEAD + "layer v = Canto, clef C1\neditor EB = E. B.\nsource B = x\n\n| 1=3:2"

#: Name → what stands before, what is repeated, what stands after.
_PLAIN: dict[str, tuple[str, str, str]] = {
    "nothing but brackets": ("", "(", ""),
    "one word of brackets in a bar": (_BAR, "(", "\n"),
    "one word of commas": (_BAR, ",", "\n"),
    "one word of overs": (_BAR, "=", "\n"),
    "one word of ticks": (_BAR + "3:2", "'", "\n"),
    "one word of marks": (_BAR + "3:2'", "T", "\n"),
    "one word of mark groups": (_BAR + "3:2", "'T", "\n"),
    "one word of labels": (_BAR + "3:2", '"a', "\n"),
    "one word of stops": (_BAR + "3:2", ",3:2", "\n"),
    "one word of stops in turn": (_BAR + "3:2", ">4:2", "\n"),
    "one word of faulty stops": (_BAR + "3:2", ",x", "\n"),
    "one word of shorthand": (_BAR + "3:2", ">:3", "\n"),
    "one word of digits": (_BAR + "3:", "9", "\n"),
    "one word of slashes": (HEAD + "signs french\n\n| 4=", "/", "a\n"),
    "one word of dots": (_BAR + "3:2", ".", "\n"),
    "one word of edits": (_BAR + "3:2", "!?", "\n"),
    "one word of slurs": (_BAR, "_", "3:2\n"),
    "one bar of events": (_EMPTY + "|> 4=3:2", " 3:3", "\n"),
    "one bar of one letter words": (_EMPTY + "| ", "x ", "\n"),
    "one bar of bar lines": (_EMPTY + "| 1=3:2", " ||", "\n"),
    "one bar of system breaks": (_EMPTY + "| 1=3:2", " &", "\n"),
    "one bar of groups": (_EMPTY + "|> 4=3:2", " 8/3=3:2 3:3 3:2", "\n"),
    "one bar of holds": (_EMPTY + "|> 4=3:2", " 3:-", "\n"),
    "one bar of slurs": (_EMPTY + "|> 4=3:2", " _3:3", "\n"),
    "one bar of repeats": (_EMPTY + "|> 4=3:2", " 8==", "\n"),
    "one bar of shorthands": (_EMPTY + "|> 4=3:2", " :3", "\n"),
    "one line continued": (_EMPTY + "|> 4=3:2\n", "+ 3:3\n", ""),
    "one line continued by nothing": (_EMPTY + "|> 4=3:2\n", "+\n", ""),
    "one line continued with comments": (_EMPTY + "|> 4=3:2\n", "+ ; x\n", ""),
    "bars of one note": (_EMPTY, "| 1=3:2\n", ""),
    "bars of four notes": (_EMPTY, "| 4=3:2 3:3 2:0 1:0\n", ""),
    "bars of chords": (_EMPTY, "| 4=X,6:0,5:0,4:0,3:0,2:0,1:0 8=3:0 3:2\n", ""),
    "bars with nothing in them": (_EMPTY, "|\n", ""),
    "bars of emendations": (_EMPTY, '| 1=3:2!3:5"a\n"a EB: so\n', ""),
    "bars of sung notes": (_SUNG + "\n", "| 1=3:2\nv 1=D5\n1 la\n", ""),
    "bars of bass": (HEAD + "layer b = Bass, clef F4\n\n", "| 1=3:2\nb 1=D3'6,4\n", ""),
    "bars of dashed lines": (_EMPTY, "| 1=3:2 |-|\n", ""),
    "empty lines": (_EMPTY, "\n", ""),
    "carriage returns": (_EMPTY.replace("\n", "\r"), "\r", ""),
    "comments": (_EMPTY, ";\n", ""),
    "comments in the heading": (_HEADLESS, ";\n", ""),
    "lines of one letter": (_EMPTY, "x\n", ""),
    "lines of one letter in the heading": (_HEADLESS, "x\n", ""),
    "lines of almost a key": (_HEADLESS, "instrumnet x\n", ""),
    "one long key": (_HEADLESS, "instrument", " x\n"),
    "one long instrument": (_HEADLESS + "instrument ", "theorbo in A ", "\n"),
    "one long title": ("longneck 1\ninstrument theorbo in A\ntitle ", "word ", "\n\n| 1=3:2\n"),
    "one long title of one word": ("longneck 1\ninstrument theorbo in A\ntitle ", "W", "\n\n| 1=3:2\n"),
    "one long metre": (HEAD.replace("metre C", "metre "), "9", "\n\n| 1=3:2\n"),
    "one long pitch": (HEAD + "pitch ", "4", "\n\n| 1=3:2\n"),
    "one long course": (HEAD + "course 7 = G2", "+G2", "\n\n| 1=7\n"),
    "one long line of diapasons": (HEAD + "diapasons 8 = F2", ", 8 = F2", "\n\n| 1=7\n"),
    "one long mark": (HEAD + 'mark T = "', "t", "\" trill, after\n\n| 1=3:2'T\n"),
    "one long meaning": (HEAD + 'mark T = "t" ', "trill, ", "after\n\n| 1=3:2'T\n"),
    "one long layer": (HEAD + "layer v = Canto, clef C1", ", 1 flat", "\n\n| 1=3:2\n"),
    "the same course over and over": (HEAD, "course 7 = G2\n", ""),
    "remarks": (HEAD, "remark x\n", "\n| 1=3:2\n"),
    "retunings of one course": (_EMPTY, "retune 8 = F2\n", "| 1=8\n"),
    "one long retuning": (_EMPTY + "retune 8 = F2", ", 8 = F2", "\n| 1=8\n"),
    "sections of one name": (_EMPTY, "section A\n| 1=3:2\n", ""),
    "sections without bars": (_EMPTY, "section A\n", "| 1=3:2\n"),
    "tempo words": (_EMPTY + "| 1=3:2\n", "tempo x\n", "| 1=3:2\n"),
    "metres": (_EMPTY, "metre 3/2\n| 1.=3:2\n", ""),
    "gaps": (_EMPTY, "gap 999 bars\n", "| 1=3:2\n"),
    "pages": (_EMPTY, "&4r\n| 1=3:2\n", ""),
    "pages without bars": (_EMPTY, "&4r\n", "| 1=3:2\n"),
    "stanzas not underlaid": (_EMPTY + "| 1=3:2\n", "stanza 4 la\n", ""),
    "endings": (_EMPTY + "opens ||.\n", "ending 1\n| 1=3:2 .||\n", ""),
    "endings in turn": (_EMPTY + "opens ||.\n", "ending 1\n| 1=3:2 .||\nending 2\n| 1=3:2\nending end\n", ""),
    "repeats": (_EMPTY, "| 1=3:2 .||.\n", ""),
    "repeats inside bars": (_EMPTY + "|> 1=3:2", " .||. 3:2", "\n"),
    "repeats that never open": (_EMPTY, "| 1=3:2\n| 3:2 .||\n", ""),
    "again from the start": (_EMPTY, "| 1=3:2\nagain start\n", ""),
    "again a section": (_EMPTY + "section A\n", "| 1=3:2\nagain A\n", ""),
    "dittos": (_EMPTY + "| 1=3:2\n", "| ditto\n", ""),
    "dittos of two": (_EMPTY + "| 1=3:2\n| 1=3:2\n", "| ditto 2\n", ""),
    "dittos of bars gone": (_EMPTY, "| ditto 9999\n", ""),
    "dittos of a section": (_EMPTY + "section A\n| 1=3:2\n", "| ditto A 1\n", ""),
    "vocal lines under one bar": (_SUNG + "\n", "v 1=D5\n", ""),
    "stanzas under one bar": (_SUNG + "\nv 1=D5\n", "1 la\n", ""),
    "stanzas under no voice": (_SUNG + "\n", "1 la\n", ""),
    "chords under one bar": (_SUNG + "\n", "c F\n", ""),
    "other readings under one bar": (_SUNG + "\n", "!B 3:2\n", ""),
    "notes under one bar": (_SUNG + '"a\n', '"a EB: so\n', ""),
    "pins under one bar": (_SUNG + '"a\n', '"a > voice 2\n', ""),
    "notes without label": (_SUNG + "\n", '"a EB: so\n', ""),
    "notes that cannot be read": (_SUNG + "\n", '"a\n', ""),
    "one long note": (_SUNG + '"a\n"a EB: ', "so ", "\n"),
    "one long pin": (_SUNG + '"a\n"a > voice 2', ", voice 2", "\n"),
    "one long syllable": (_SUNG + "\nv 1=D5\n1 ", "a", "\n"),
    "one syllable of labels": (_SUNG + "\nv 1=D5\n1 a", '"a', "x\n"),
    "many syllables": (_SUNG + "\nv 1=D5\n1 ", "a ", "\n"),
    "one long vocal line": (_SUNG + "\nv 4=D5", " E", "\n"),
    "one long word of figures": (HEAD + "layer b = B, clef F4\n\n| 1=3:2\nb 1=D3'6", ",6", "\n"),
    "one long chord name": (_SUNG + "\nc ", "F", "\n"),
    "null characters": (_BAR, "\0", "\n"),
    "line separators": (_BAR, "\u2028", "\n"),
    "combining signs": (_SUNG + "\nv 1=D5\n1 a", "\u0301", "\n"),
    "right to left": (HEAD.replace("title T", "title \u202e"), "\u05d0", "\n\n| 1=3:2\n"),
    "big digits of other scripts": (_BAR, "\u0664:\u0663 ", "\n"),
    "spaces": (_BAR, " ", "3:2\n"),
    "tabs and words": (_EMPTY + "|> 4=3:2", "\t3:2", "\n"),
}
for _name, (_before, _unit, _after) in _PLAIN.items():
    FAMILIES[_name] = _repeating(_unit, _before, _after)


@_family
def _sources_of_many_names(size: int) -> str:
    return _numbered("source A{} = x\n", size, HEAD)


@_family
def _readings_of_many_sources(size: int) -> str:
    return _numbered("!B{} 3:2\n", size, _SUNG + "\n")


@_family
def _sections_of_many_names(size: int) -> str:
    return _numbered("section A{}\n| 1=3:2\n", size, _EMPTY)


@_family
def _sections_that_are_not_there(size: int) -> str:
    names = _numbered("section A{}\n", size // 2, _EMPTY + "| 1=3:2\n")
    return _numbered("again B{}\n", size // 2, names)


@_family
def _folios_of_many_names(size: int) -> str:
    return _numbered("&{}r\n| 1=3:2\n", size, _EMPTY)


@_family
def _facsimiles(size: int) -> str:
    return _numbered("facsimile {} = a.jpg\n", size, HEAD) + "\n| 1=3:2\n"


@_family
def _severities(size: int) -> str:
    return _filled("severity bar-too-short = note\n", size, HEAD, "\n" + "| 4=3:2\n" * 100)


@_family
def _courses_without_end(size: int) -> str:
    return _numbered("course {} = C2\n", size, HEAD) + "\n| 1=3:2\n"


@_family
def _ninety_nine_courses(size: int) -> str:
    tuned = "".join(f"course {number} = C2\n" for number in range(1, 100))
    chord = ",".join(f"{number}:0" for number in range(99, 0, -1))
    return _filled(f"| 1={chord}\n", size, f"longneck 1\ninstrument x\n{tuned}stopped 99\n\n")


@_family
def _dittos_that_double(size: int) -> str:
    lines = (f"| ditto {2**number}\n" for number in range(min(13, max(1, size // 16))))
    return _EMPTY + "| 1=3:2\n" + "".join(lines) + "| ditto 8192\n" * max(0, (size - 400) // 13)


@_family
def _slurs_of_every_course(size: int) -> str:
    chord = ",".join(f"_{course}:0" for course in range(6, 0, -1))
    return _filled(f"| 8={chord} {chord} {chord} {chord} {chord} {chord} {chord} {chord}\n", size, _EMPTY)


@_family
def _random_alphabet(size: int) -> str:
    """No random numbers, only a long cycle over the signs of the encoding."""
    signs = "|&;\"!vbc1=:,>_'?*-. 23X/Tpab\n"
    return HEAD + "\n" + "".join(signs[(place * place + 7 * place // 3) % len(signs)] for place in range(size))
