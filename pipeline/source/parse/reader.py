"""What the reading of one file carries along: its text, its signs, what it declares, and what was found."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable

from pipeline.findings.codes.limits import FINDINGS_CUT_OFF, TOO_MUCH
from pipeline.findings.codes.syntax import FOREIGN_SIGN, SHORTHAND, SYNTAX
from pipeline.model.diagnostics import Code, Diagnostic, Related
from pipeline.model.limits import LONGEST_LINE, MOST_CONTINUED, MOST_FINDINGS, MOST_LINES
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.tablature import HeadingLine, UnreadLine
from pipeline.model.text import SourceText, Span
from pipeline.source.parse.cursor import Fault
from pipeline.source.parse.likely import likely
from pipeline.source.parse.lines import Line, Word, continues, logical_lines

#: A layer line whose notes come from a notation file.
_FROM_FILE = re.compile(r",\s*from\s")
#: From so many words of the other system of signs on, the heading is wrong, not they.
MANY_OTHERS = 8


class Reader:
    """The only thing in this package that changes: it gathers findings, in the order in which they turn up."""

    __slots__ = ("_cut_off", "_found", "_names", "_other", "_told", "file", "signs", "source")

    def __init__(self, source: SourceText) -> None:
        self.source = source
        self.file = source.name
        self.signs = Signs.ITALIAN
        self._names: frozenset[tuple[str, str]] = frozenset()
        self._told: set[tuple[str, str]] = set()
        self._found: list[Diagnostic] = []
        self._other: dict[Span, None] = {}
        self._cut_off = False

    def declares(self, signs: Signs, lines: tuple[HeadingLine, ...]) -> None:
        """From here on the file reads with these signs, and knows the names that these lines declare."""
        self.signs = signs
        from_files = (("file", line.name) for line in lines if line.key == "layer" and _FROM_FILE.search(line.value))
        self._names = frozenset((*((line.key, line.name) for line in lines), *from_files))

    def report(self, code: Code, span: Span, message: str, hint: str = "", related: tuple[Related, ...] = ()) -> None:
        if len(self._found) < MOST_FINDINGS:
            self._found.append(Diagnostic(code, span, message, hint, related))
        else:
            self._cut_off = True

    @property
    def noted(self) -> int:
        """How much has been noted so far: it grows with everything that is said of a word."""
        return len(self._found) + len(self._other) + self._cut_off

    def findings(self) -> tuple[Diagnostic, ...]:
        """All that was found, in order of place."""
        found = sorted(_gathered(self._of_these_signs()), key=lambda finding: finding.span)
        if self._cut_off:
            message = f"There are more than {MOST_FINDINGS:,} findings on this file; the others are not listed."
            found.append(Diagnostic(FINDINGS_CUT_OFF, found[-1].span, message, "Correct the first ones and run again."))
        return tuple(found)

    def fault(self, word: Word, fault: Fault) -> None:
        """A fault inside a word, put in its place."""
        span = Span(self.file, word.line, word.start + fault.start, word.start + fault.end)
        self.report(fault.code, span, fault.message, fault.hint)

    def other_signs(self, word: Word) -> None:
        """Note that a word which cannot be read would be read in the other system of signs."""
        self._other[word.span(self.file)] = None

    def _of_these_signs(self) -> list[Diagnostic]:
        """The findings; those on words of the other system of signs all in one, where there are many of them."""
        if len(self._other) < MANY_OTHERS:
            return self._found
        words = sorted((span.line, span.start, span.end) for span in self._other)

        def other(each: Diagnostic) -> bool:
            at = bisect_right(words, (each.span.line, each.span.start, each.span.end + LONGEST_LINE))
            line, start, end = words[at - 1]
            return at > 0 and line == each.span.line and start <= each.span.start and each.span.end <= end

        other_name = "letters" if self.signs is Signs.ITALIAN else "figures"
        read = "figures (signs italian)" if self.signs is Signs.ITALIAN else "letters (signs french)"
        meant = "french" if self.signs is Signs.ITALIAN else "italian"
        message = f"{len(words)} words have {other_name}, and {read} are read here."
        one = Diagnostic(SYNTAX, next(iter(self._other)), message, f"Perhaps the heading should say: signs {meant}")
        return [one, *(each for each in self._found if not other(each))]

    def needs(self, declared: tuple[str, str], code: Code, span: Span, message: str, hint: str) -> None:
        """Report, once for each name, that no heading line ``key name = …`` has ``declared`` it."""
        if declared not in self._names and declared not in self._told:
            self._told.add(declared)
            self.report(code, span, message, hint)

    def lines(self) -> tuple[tuple[Line, ...], tuple[UnreadLine, ...]]:
        """The lines that are read, and those of a file with too many, kept unread, all in one."""
        typed = self.source.lines
        lines = logical_lines(typed[:MOST_LINES])
        beyond = [line.rstrip() for line in typed[MOST_LINES:] if line and not line.isspace()]
        if not beyond:
            return lines, ()
        end = MOST_LINES
        last = next((at for at in range(len(lines) - 1, -1, -1) if lines[at].words), None)
        if last is not None and continues(beyond):  # it is not parted from them
            end = lines[last].numbers[0] - 1
            lines = lines[:last]
            beyond = [line.rstrip() for line in typed[end:] if line and not line.isspace()]
        message = f"The file has more than {MOST_LINES:,} lines; from here on nothing is read."
        place = Span(self.file, end + 1, 1, 1)
        self.report(TOO_MUCH, place, message, "One file is one piece.")
        return lines, (UnreadLine("\n".join(beyond), place),)

    def likely(self, word: Word, reads: Callable[[str], bool]) -> bool:
        """Whether a word that cannot be read would make sense with one sign put right; it is then reported so."""
        meant = likely(word.text, self.signs, reads)
        if meant is None:
            return False
        span = word.span(self.file).part(meant.start, meant.start + len(meant.typed))
        self.report(FOREIGN_SIGN if meant.foreign else SYNTAX, span, meant.message, f"Perhaps {meant.word}")
        return True

    def overlong(self, line: Line) -> bool:
        """Whether a line is too long to be read; it is then reported."""
        numbers = line.numbers
        if len(numbers) == 1:
            size = len(self.source.lines[numbers[0] - 1])
        else:
            size = sum(len(self.source.lines[number - 1]) for number in numbers)
        if size <= LONGEST_LINE and len(numbers) <= MOST_CONTINUED:
            return False
        what = f"{LONGEST_LINE:,} characters" if size > LONGEST_LINE else f"{MOST_CONTINUED:,} lines that continue it"
        first = line.words[0]
        place = Span(self.file, first.line, first.start, first.start + 1)
        hint = "A long bar can be divided by bar lines that the edition adds: |! at its end."
        self.report(TOO_MUCH, place, f"This line has more than {what}; it is not read.", hint)
        return True

    def unread(self, line: Line) -> tuple[UnreadLine, ...]:
        """The physical lines of a logical one, kept to the letter but for white space at their ends."""
        return tuple(
            UnreadLine(self.source.line(number).rstrip(), self.source.whole(number)) for number in line.numbers
        )


def _gathered(found: Iterable[Diagnostic]) -> list[Diagnostic]:
    """The findings, with those on one strange sign, and those on courses left out, all in one: the first, which names
    the other places."""
    kept: list[Diagnostic] = []
    first: dict[str, int] = {}
    others: dict[int, list[Related]] = {}
    for each in sorted(found, key=lambda finding: finding.span):
        key = {FOREIGN_SIGN: each.message, SHORTHAND: SHORTHAND.slug}.get(each.code, "")
        if key in first:
            others.setdefault(first[key], []).append(Related(each.span, "also here"))
            continue
        if key:
            first[key] = len(kept)
        kept.append(each)
    for at, places in others.items():
        kept[at] = replace(kept[at], related=(*kept[at].related, *places))
    return kept
