"""What a typed tablature sounds, read without the program: tuning tables of its own, and the words of a bar taken apart
by the grammar in ``schemas/encoding.ebnf``.

Tunings: theorbo in A PS (Spencer 1976), its course list CP; theorbo in G CP; archlute and lutes in G PS-inf; lute in
D minor PS (MEI Guidelines, tablature chapter); tiorbino an octave above the theorbo (Spencer), list calc.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

TUNINGS = {
    "theorbo in A": "A3 E3 B3 G3 D3 A2 G2 F2 E2 D2 C2 B1 A1 G1",
    "theorbo in G": "G3 D3 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1",
    "tiorbino in A": "A4 E4 B4 G4 D4 A3 G3 F3 E3 D3 C3 B2 A2 G2",
    "archlute in G": "G4 D4 A3 F3 C3 G2 F2 Eb2 D2 C2 Bb1 A1 G1 F1",
    "lute in G, 6 courses": "G4 D4 A3 F3 C3 G2",
    "lute in G, 8 courses": "G4 D4 A3 F3 C3 G2 F2 D2",
    "lute in D minor, 11 courses": "F4 D4 A3 F3 D3 A2 G2 F2 E2 D2 C2",
}
_NAMES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_LETTERS = "abcdefghiklmn"
_LATE = {"4": 11, "5": 12, "6": 13, "7": 14}
_WORDS = frozenset(
    {"section", "tempo", "metre", "key", "retune", "ending", "opens", "again", "gap", "stanza", "layout"}
)


def pitch(name: str) -> int:
    """MIDI number of ``F#2``. Source: MIDI note numbers, 60 = C4."""
    return 12 * (int(name[-1]) + 1) + _NAMES[name[0]] + name.count("#") - name[1:].count("b")


@dataclass(frozen=True)
class Struck:
    """One event: its line, its bar as typed, its number there, and (course, fret, pitch) of each stop that
    the edition strikes, as typed."""

    line: int
    bar: int
    number: int
    stops: tuple[tuple[int, int, int], ...]


def struck(text: str, above: str = "") -> list[Struck]:
    """Every event with stops of a text, which inherits the heading lines ``above``."""
    heading = [line for line in (above + "\n" + text).splitlines() if line and line[0].isalpha()]
    music = next((n for n, line in enumerate(text.splitlines()) if _is_music(line)), len(text.splitlines()))
    own = text.splitlines()[:music]
    words = dict(line.split(" ", 1) for line in (*above.splitlines(), *own) if " " in line and line[0].isalpha())
    tuning = [pitch(name) for name in TUNINGS[words["instrument"]].split()]
    for line in heading:
        if match := re.match(r"course (\d+) = ([A-G][#b]?\d)", line):
            tuning[int(match[1]) - 1] = pitch(match[2])
    _retune(tuning, words.get("diapasons", "").partition(" ;")[0])
    return _walk(text, tuning, french=words.get("signs", "italian").startswith("french"))


def _is_music(line: str) -> bool:
    return line.startswith(("|", "&")) or line.split(" ", maxsplit=1)[0] in _WORDS - {"metre", "key"}


def _retune(tuning: list[int], said: str) -> None:
    for number, name in re.findall(r"(\d+) ?= ?([A-G][#b]?\d)", said):
        tuning[int(number) - 1] = pitch(name)


def _walk(text: str, tuning: list[int], *, french: bool) -> list[Struck]:
    found: list[Struck] = []
    bar, event, inside = 0, 0, False
    for number, line in enumerate(text.splitlines(), start=1):
        first = line.split(" ")[0]
        if first == "retune":
            _retune(tuning, line)
        if first in ("|", "|<", "|>"):
            bar, event, inside = bar + 1, 0, True
        elif first != "+" or not inside:
            inside = False
            continue
        if line.split()[1:2] == ["ditto"]:
            continue
        for word in line.split()[1:]:
            if word.startswith(";"):
                break
            if word.startswith("&") or re.fullmatch(r'!?[|.-]*\|[|.-]*[!?]?("[a-z])*', word):
                continue
            event += 1
            stops = tuple(_stops(word, tuning, french=french))
            if stops:
                found.append(Struck(number, bar, event, stops))
    return found


def _stops(word: str, tuning: list[int], *, french: bool) -> list[tuple[int, int, int]]:
    body = word if "=" not in word else word[word.index("=") + 1 :]
    if body in ("", "-", "="):
        return []
    found = []
    for typed in re.split(r"[,>]", body):
        stop = re.sub(r"^(_!(?=[^!?*])|_\?|!_|_)", "", typed)
        stop = re.sub(r"'.*", "", re.sub(r'"[a-z]', "", stop))
        edition = stop.partition("!")[0].rstrip("?") if "!" in stop else re.sub(r"(?<=[^:])\?$", "", stop)
        place = _place(edition.rstrip("."), french=french)
        if place is not None:
            course, fret = place
            found.append((course, fret, tuning[course - 1] + fret))
    return found


def _place(sign: str, *, french: bool) -> tuple[int, int] | None:
    """Course and fret; None for what strikes nothing: holds, lost and unclear signs."""
    if match := re.fullmatch(r"(\d+):(\d+|X)", sign):
        return int(match[1]), 10 if match[2] == "X" else int(match[2])
    if not french:
        return ((10 if sign == "X" else int(sign)), 0) if re.fullmatch(r"\d+|X", sign) else None
    sign = sign.replace("y", "i").replace("r", "c")
    if match := re.fullmatch(r"(\d+)([a-n])", sign):
        return int(match[1]), _LETTERS.index(match[2])
    if match := re.fullmatch(r"(/*)([a-n])", sign):
        return 7 + len(match[1]), _LETTERS.index(match[2])
    return (_LATE[sign], 0) if sign in _LATE else None
