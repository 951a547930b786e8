"""A reader of the grammar in ``schemas/encoding.ebnf``: sentences to try, a recogniser, a counter of readings.

It knows nothing of the parser, only the notation that the grammar's first comment explains.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from hypothesis import strategies as st

GRAMMAR = Path(__file__).parent.parent / "schemas" / "encoding.ebnf"

_TOKEN = re.compile(
    r"""\s+ | \(\*.*?\*\) | (?P<text>"[^"\n]+"|'[^'\n]+') | (?P<special>\?[^?\n]+\?)
    | (?P<name>[a-z][a-z-]*) | (?P<sign>\.\.|[=|;()\[\]{}])""",
    re.VERBOSE | re.DOTALL,
)

#: What each description between question marks stands for, as a regular expression, and examples to try.
SPECIAL = {
    "line end": (r"\n", ["\n"]),
    "white space": (r" ", [" "]),
    'one or more characters that are not white space, the first not ";"': (
        r"[^\s;]\S*",
        ["Toccata", "à", "x;", "3:2", "=", "7", "(f.", "-", "_", "ri_il", "EB:"],
    ),
    "characters but the double quote": (r'[^"\n]+', ["t", ",", "(", ";", "# x"]),
    "a title without commas": (r"[^,;\s]+(?: [^,;\s]+)*", ["Canto", "Violino primo"]),
    "the path of a notation file from the piece's folder, without commas": (
        r"[^,;\s]+(?: [^,;\s]+)*",
        ["canto.musicxml", "parts/canto.krn"],
    ),
    "where each system lies on that image, in percent from its top, and perhaps between which percents of its width": (
        r"(?:[1-9]\d? in )?\d{1,3}(?:\.\d\d?)? ?- ?\d{1,3}(?:\.\d\d?)?(?:, ?\d{1,3}(?:\.\d\d?)?-\d{1,3}(?:\.\d\d?)?)*"
        r"(?:, ?across \d{1,3}-\d{1,3})?",
        ["8-20, 24-36", "5 in 8-92", "12.5-30, across 6-94"],
    ),
    "the path of an image file from the piece's folder": (
        r"[^;\s]\S*(?: [^;\s]\S*)*",
        ["images/4r.jpg", "4v.png", "a folder/f. 5.webp"],
    ),
    'the path of a folder from the one of the heading, without white space, "&" or a double quote': (
        r'[^\s&"]+',
        ["songs", "theorbo/solo"],
    ),
    "the path of a Markdown file (.md) from the folder of the heading": (
        r"[^;\s]\S*(?: [^;\s]\S*)*\.md",
        ["introduction.md", "front/about the sources.md"],
    ),
    "words without commas": (r"[^,;\s]+(?: [^,;\s]+)*", ["CC BY 4.0", "All rights reserved"]),
    "a web address: https:// or http:// and more, without white space, commas or quotes": (
        r"https?://[^\s,\"'<>]+",
        ["https://example.org/iiif/canvas/4r", "http://example.org/x"],
    ),
    "the name of a kind of finding": (
        r"[a-z0-9]+(?:-[a-z0-9]+)*",
        ["bar-too-short", "wide-stretch", "syntax"],
    ),
    'a section\'s name: words without "|", not beginning with "&"': (r"[^|&;\s][^|\s]*", ["Prima", "Ciaccona"]),
    'characters that are not white space, "&" or a double quote': (r'[^\s&"]+', ["4r", "12v-13r", "p.7"]),
}


@dataclass(frozen=True)
class Literal:
    text: str


@dataclass(frozen=True)
class Range:
    first: str
    last: str


@dataclass(frozen=True)
class Special:
    what: str


@dataclass(frozen=True)
class Rule:
    name: str


@dataclass(frozen=True)
class Sequence:
    parts: tuple[Node, ...]


@dataclass(frozen=True)
class Choice:
    parts: tuple[Node, ...]


@dataclass(frozen=True)
class Optional:
    part: Node


@dataclass(frozen=True)
class Repeated:
    part: Node


Node = Literal | Range | Special | Rule | Sequence | Choice | Optional | Repeated


class Grammar:
    """The rules of a grammar by name."""

    def __init__(self, text: str) -> None:
        self._tokens = list(_tokens(text))
        self._at = 0
        self.rules: dict[str, Node] = {}
        while self._at < len(self._tokens):
            kind, name = self._next()
            assert kind == "name", f"a rule begins with {name!r}"
            assert name not in self.rules, f"{name} is defined twice"
            assert self._next() == ("sign", "="), f"no = after {name}"
            self.rules[name] = self._choice()
            assert self._next() == ("sign", ";"), f"no ; at the end of {name}"

    @classmethod
    def of_encoding(cls) -> Grammar:
        return cls(GRAMMAR.read_text(encoding="utf-8"))

    def _next(self) -> tuple[str, str]:
        self._at += 1
        return self._tokens[self._at - 1]

    def _sees(self, sign: str) -> bool:
        return self._at < len(self._tokens) and self._tokens[self._at] == ("sign", sign)

    def _choice(self) -> Node:
        parts = [self._sequence()]
        while self._sees("|"):
            self._next()
            parts.append(self._sequence())
        return parts[0] if len(parts) == 1 else Choice(tuple(parts))

    def _sequence(self) -> Node:
        parts = []
        while not any(self._sees(sign) for sign in "|;)]}"):
            parts.append(self._part())
        assert parts, "an empty alternative"
        return parts[0] if len(parts) == 1 else Sequence(tuple(parts))

    def _part(self) -> Node:
        kind, text = self._next()
        if kind == "text":
            if self._sees(".."):
                self._next()
                return Range(text[1:-1], self._next()[1][1:-1])
            return Literal(text[1:-1])
        if kind == "special":
            return Special(text[1:-1].strip())
        if kind == "name":
            return Rule(text)
        inner = self._choice()
        closing = {"(": ")", "[": "]", "{": "}"}[text]
        assert self._next() == ("sign", closing)
        return Optional(inner) if text == "[" else Repeated(inner) if text == "{" else inner

    # --- three uses ---------------------------------------------------------------------------------------

    def names_used(self) -> set[str]:
        """Every rule that some rule uses."""
        return {name for node in self.rules.values() for name in _names(node)}

    @cache  # noqa: B019  one grammar, made once
    def pattern(self, rule: str) -> re.Pattern[str]:
        """A recogniser: the language of a rule as a regular expression (no rule uses itself)."""
        return re.compile(self._regex(Rule(rule)))

    def _regex(self, node: Node) -> str:
        match node:
            case Literal(text):
                return re.escape(text)
            case Range(first, last):
                return f"[{first}-{last}]"
            case Special(what):
                return SPECIAL[what][0]
            case Rule(name):
                return self._regex(self.rules[name])
            case Sequence(parts):
                return "".join(self._regex(part) for part in parts)
            case Choice(parts):
                return f"(?:{'|'.join(self._regex(part) for part in parts)})"
            case Optional(part):
                return f"(?:{self._regex(part)})?"
            case Repeated(part):
                return f"(?:{self._regex(part)})*"

    def sentences(self, rule: str) -> st.SearchStrategy[str]:
        """Sentences to try, every choice alike, up to three repetitions."""
        return self._strategy(Rule(rule))

    @cache  # noqa: B019  one grammar, made once
    def _strategy(self, node: Node) -> st.SearchStrategy[str]:
        match node:
            case Literal(text):
                return st.just(text)
            case Range(first, last):
                return st.characters(min_codepoint=ord(first), max_codepoint=ord(last))
            case Special(what):
                return st.sampled_from(SPECIAL[what][1])
            case Rule(name):
                return self._strategy(self.rules[name])
            case Sequence(parts):
                return st.tuples(*map(self._strategy, parts)).map("".join)
            case Choice(parts):
                return st.one_of(*map(self._strategy, parts))
            case Optional(part):
                return st.one_of(st.just(""), self._strategy(part))
            case Repeated(part):
                return st.lists(self._strategy(part), max_size=3).map("".join)

    def readings(self, rule: str, text: str) -> int:
        """In how many ways a rule derives a text; endings reached in several ways count as many times."""
        return self._ends(Rule(rule), text, 0).get(len(text), 0)

    def _ends(self, node: Node, text: str, start: int) -> dict[int, int]:
        """Where a node that begins at ``start`` can end, and in how many ways."""
        match node:
            case Literal(literal):
                return {start + len(literal): 1} if text.startswith(literal, start) else {}
            case Range(first, last):
                return {start + 1: 1} if first <= text[start : start + 1] <= last else {}
            case Special(what):
                pattern = re.compile(SPECIAL[what][0])
                return {end: 1 for end in range(start + 1, len(text) + 1) if pattern.fullmatch(text, start, end)}
            case Rule(name):
                return self._ends(self.rules[name], text, start)
            case Sequence(parts):
                ends = {start: 1}
                for part in parts:
                    ends = self._after(ends, part, text)
                return ends
            case Choice(parts):
                return _added(*(self._ends(part, text, start) for part in parts))
            case Optional(part):
                return _added({start: 1}, self._ends(part, text, start))
            case Repeated(part):
                total = step = {start: 1}
                while step:
                    step = {end: ways for end, ways in self._after(step, part, text).items() if end > start}
                    total = _added(total, step)
                return total

    def _after(self, ends: dict[int, int], part: Node, text: str) -> dict[int, int]:
        return _added(*({end: ways * n for end, n in self._ends(part, text, at).items()} for at, ways in ends.items()))


def _added(*counts: dict[int, int]) -> dict[int, int]:
    total: dict[int, int] = {}
    for count in counts:
        for end, ways in count.items():
            total[end] = total.get(end, 0) + ways
    return total


def _tokens(text: str) -> list[tuple[str, str]]:
    tokens = []
    at = 0
    while at < len(text):
        match = _TOKEN.match(text, at)
        assert match, f"the grammar cannot be read at {text[at : at + 40]!r}"
        if match.lastgroup:
            tokens.append((match.lastgroup, match.group()))
        at = match.end()
    return tokens


def _names(node: Node) -> set[str]:
    match node:
        case Rule(name):
            return {name}
        case Sequence(parts) | Choice(parts):
            return {name for part in parts for name in _names(part)}
        case Optional(part) | Repeated(part):
            return _names(part)
        case _:
            return set()
