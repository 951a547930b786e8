"""What may be typed next: words that begin a line, names that a heading knows, marks, labels, sections."""

from __future__ import annotations

import re
from collections.abc import Iterator
from string import ascii_lowercase

from pipeline.desk.converse.at import owner_at
from pipeline.desk.converse.look import Look
from pipeline.desk.converse.record import Choice, Group
from pipeline.desk.misprints.accepting import free_letter
from pipeline.findings.codes import ALL
from pipeline.model.presets import PRESETS
from pipeline.model.tablature import HEADING_KEYS, Bar, BarlineKind, Directive, DirectiveKind
from pipeline.source.parse.body import is_music
from pipeline.source.parse.directives import DIRECTIVES
from pipeline.source.parse.editing import HEAD_MARKS, STOP_MARKS
from pipeline.source.parse.heads import VALUE_START
from pipeline.source.parse.references import labels_of

#: What heading lines declare.
HEADINGS = {
    "title": "the title, as the edition prints it",
    "composer": "the composer's name",
    "book": "the title of the book that this folder is",
    "subtitle": "the subtitle of the book",
    "part": "the title of a part of the book: songs = Songs to the theorbo",
    "introduction": "the introduction of the book, a Markdown file",
    "method": "the editorial method of the book, a Markdown file",
    "imprint": "a line of the imprint: publisher, place, year",
    "edition": "the version of the text and its day: 1.1, 2026-11-30",
    "licence": "the licence of the edition, and the address of its text",
    "source": "a source: A = Trial book, f. 3v, shelfmark Mus. 7; the first is the copy-text",
    "facsimile": "the image of a folio: 4r = images/4r.jpg",
    "canvas": "the address of a folio's IIIF canvas: 4r = https://example.org/iiif/4r",
    "systems": "where the systems of a folio lie, in percent: 4r = 8-20, 24-36",
    "editor": "an editor's initials: EB = E. B.",
    "instrument": "the instrument, by a name that is known or any other",
    "stopped": "how many courses lie over the fingerboard",
    "frets": "how many frets are tied, and the highest that can be played",
    "course": "how a course is tuned: 7 = G2+G3",
    "diapasons": "how the basses are tuned: 8 = F#2, 11 = C#2",
    "pitch": "the pitch of a' in hertz: 415",
    "strings": "sounding lengths of stopped strings and diapasons: 76 cm, 140 cm",
    "signs": "italian (figures) or french (letters)",
    "lines": "how many lines the tablature has, or that course 1 is the upper one",
    "values": "how the edition's values relate to the source's: 1:2",
    "stems": "what a stem without hooks stands for: plain = 4",
    "metre": "the metre: C, 3/2, 3 = 3/4, none",
    "key": "the key: D minor",
    "voices": "how many voices the music has at most",
    "arpeggio": "the order of a spread chord: fingers or rising",
    "mark": 'an ornament as printed: T = "t" trill, after',
    "layer": "a sung line or a bass: v = Canto, clef C1, 1 flat",
    "severity": "how grave a kind of finding is: bar-too-short = note",
    "remark": "a remark for the critical report",
}
#: What lines between bars say.
DIRECTED = {
    "section": "a section begins, under this title",
    "tempo": "a word over the music",
    "metre": "another metre from here",
    "key": "another key from here",
    "retune": "courses are retuned from here: 8 = F#2",
    "ending": "the first or second ending begins; or end",
    "opens": "the bar line that the next bar begins with",
    "again": "start, or a section, is played again",
    "gap": "bars are lost: 3 bars, corner torn",
    "layout": "where the edition breaks: new or same, system or page",
    "stanza": "a stanza printed without notes: 4 and its words",
}
BARS = {
    "|": "a bar",
    "|<": "a bar that is shorter on purpose, an upbeat",
    "|>": "a bar that is longer, or free",
    "+": "goes on with the line above",
    "&": "a new system; &4r a new page",
    "v": "a vocal line to the bar above",
    "b": "a bass with figures to the bar above",
    "c": "chord letters to the bar above",
    "1": "the first stanza, under its vocal line",
    '"': "a note on the bar above",
}
_LINES = {
    BarlineKind.DOUBLE: "double bar line",
    BarlineKind.FINAL: "final bar line",
    BarlineKind.REPEAT_END: "end of a repeat",
    BarlineKind.REPEAT_START: "beginning of a repeat",
    BarlineKind.REPEAT_BOTH: "repeats on both sides",
    BarlineKind.DASHED: "broken bar line",
}
_VALUES = {
    "signs": {"italian": "figures", "french": "letters"},
    "arpeggio": {"fingers": "in the order of the fingers", "rising": "from the lowest pitch up"},
    "lines": {"5": "five lines", "6": "six lines", "course 1 above": "figures, course 1 on the upper line"},
    "metre": {"C": "4/4", "C|": "2/2", "3/2": "", "3/4": "", "none": "without measure"},
    "values": {"1:1": "as in the source", "1:2": "halved", "2:1": "doubled"},
    "stems": {"plain = 2": "a stem without hooks is a minim", "plain = 4": "a crotchet"},
    "ending": {"1": "the first ending", "2": "the second", "end": "the music runs on after the last ending"},
    "opens": {"||": "double bar line", "||.": "beginning of a repeat", ".||.": "repeats on both sides"},
}
_MODES = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian")
_SEVERITIES = {"error": "makes the exit code 1", "warning": "", "note": "the least that a finding can be"}
_PINS = {
    "octave up": "the line is meant an octave above its sound",
    "octave kept": "the line is meant as it sounds",
    "octave down": "the line is meant an octave below its sound",
    "voice 1": "it belongs to the highest voice",
    "voice 2": "it belongs to the second voice",
    "lasts 2": "it lasts a minim",
    "lasts to b": "it lasts until the sign with the label b",
}
_BEGINS_BAR = re.compile(r"\s*(?:\|[<>]?|\+|!(?:[A-Z][A-Za-z0-9]*)?)\s")
_NOTE_LINE = re.compile(r'\s*"[a-z]?\s')


def choices(look: Look, line: int, column: int) -> tuple[Choice, ...]:
    """What may stand at a place, in the order in which it is likeliest; ``column`` is where the caret stands. What is
    chosen replaces the word, or the part of it, before the caret."""
    text = look.source.line(line)
    before = text[: column - 1]
    made = _Choices(look, line, column, before)
    if not before.strip() or (before.strip() and " " not in before.strip() and not before[-1:].isspace()):
        return tuple(made.first_words())
    key = before.split()[0]
    if _BEGINS_BAR.match(before):
        return tuple(made.in_bar())
    if _NOTE_LINE.match(before):
        return tuple(made.in_note())
    if key in HEADING_KEYS or key in DIRECTIVES:
        return tuple(made.in_value(key))
    return ()


class _Choices:
    """The choices at one place."""

    def __init__(self, look: Look, line: int, column: int, before: str) -> None:
        self.look, self.line, self.column, self.before = look, line, column, before
        self.word = re.split(r"\s", before)[-1]
        texts = look.source.lines[: line - 1]
        self.in_heading = not any(words and is_music(words[0]) for words in (text.split() for text in texts))

    def _offer(self, known: dict[str, str], group: Group, typed: str) -> Iterator[Choice]:
        """Those that go on from what is typed before the caret."""
        start = self.column - len(typed)
        for text, says in known.items():
            if text.casefold().startswith(typed.casefold()):
                yield Choice(text, says, group, start, self.column)

    # --- the first word of a line -----------------------------------------------------------------------------

    def first_words(self) -> Iterator[Choice]:
        typed = self.before.strip()
        if self.line == 1:
            yield from self._offer({"longneck 1": "the version of the encoding"}, Group.LINE, typed)
            return
        if typed.startswith('"'):
            yield from self._note_starts(typed)
            return
        if self.in_heading:
            yield from self._offer({f"{key} ": says for key, says in HEADINGS.items()}, Group.LINE, typed)
            directed = {key: says for key, says in DIRECTED.items() if key not in HEADING_KEYS}
        else:
            directed = DIRECTED
        yield from self._offer({f"{key} ": says for key, says in directed.items()}, Group.LINE, typed)
        if typed not in BARS:
            yield from self._offer(BARS, Group.LINE, typed)

    def _note_starts(self, typed: str) -> Iterator[Choice]:
        """Labels of the bar above that have no note yet."""
        owner = owner_at(self.look.piece, self.line)
        if owner is None:
            return
        noted = {note.label for note in owner.notes if note.span.line != self.line}
        used = dict.fromkeys(label.letter for label in labels_of(owner))
        known = {f'"{letter} ': "the label in the bar above" for letter in used if letter not in noted}
        yield from self._offer(known, Group.LABEL, typed)

    # --- values -----------------------------------------------------------------------------------------------

    def in_value(self, key: str) -> Iterator[Choice]:
        typed = self.before.lstrip()[len(key) :].lstrip()
        heading = self.look.piece.heading
        match key:
            case "instrument":
                known = {preset.name: preset.source for preset in PRESETS}
                yield from self._offer(known, Group.INSTRUMENT, typed)
            case "severity":
                yield from self._severity(typed)
            case "key":
                tonic, space, mode = typed.partition(" ")
                if space:
                    yield from self._offer(dict.fromkeys(_MODES, f"{tonic} …"), Group.VALUE, mode)
            case "again":
                known = {"start": "from the beginning", **self._sections()}
                yield from self._offer(known, Group.SECTION, typed)
            case "layer":
                known = {"v = ": "a vocal line", "v2 = ": "a second one", "b = ": "a bass"}
                yield from self._offer(known, Group.VALUE, typed)
            case "editor" | "source" | "mark" if "=" not in typed:
                return
            case "retune" | "diapasons":
                courses = [
                    course for course in heading.instrument.courses if heading.instrument.is_diapason(course.number)
                ]
                known = {f"{one.number} = ": f"now {one.pitch}" for one in courses}
                yield from self._offer(known, Group.VALUE, typed.rpartition(",")[2].lstrip())
            case _:
                yield from self._offer(_VALUES.get(key, {}), Group.VALUE, typed)

    def _severity(self, typed: str) -> Iterator[Choice]:
        name, equals, level = typed.partition("=")
        if equals:
            yield from self._offer(_SEVERITIES, Group.VALUE, level.lstrip())
            return
        known = {f"{code.slug} = ": code.title for code in ALL.values() if not code.fixed}
        yield from self._offer(known, Group.NAME, name.rstrip())

    def _sections(self) -> dict[str, str]:
        body = self.look.piece.tablature.body
        named = [item for item in body if isinstance(item, Directive) and item.kind is DirectiveKind.SECTION]
        return {item.text: f"the section at line {item.span.line}" for item in named}

    # --- words of a bar ---------------------------------------------------------------------------------------

    def in_bar(self) -> Iterator[Choice]:
        words = self.before.split()
        if len(words) > 1 and words[1] == "ditto" and (len(words) > 2 or self.before[-1:].isspace()):
            typed = self.before.split("ditto", 1)[1].lstrip()
            known = {"2": "the two bars before", **{f"{name} ": says for name, says in self._sections().items()}}
            yield from self._offer(known, Group.SECTION, typed)
            return
        if '"' in self.word and not self.word.endswith("'"):
            yield from self._labels(self.word.rpartition('"')[2])
        elif "'" in self.word:
            yield from self._marks()
        else:
            if len(words) == 1 or (len(words) == 2 and self.word):
                yield from self._offer({"ditto": "the same as the bar before"}, Group.LINE, self.word)
            if not self.word or set(self.word) <= set("|.-"):
                known = {kind.value: says for kind, says in _LINES.items()}
                yield from self._offer(known, Group.VALUE, self.word)

    def _labels(self, typed: str) -> Iterator[Choice]:
        """Letters that have a note under the bar and no sign yet; then one that is free."""
        owner = owner_at(self.look.piece, self.line)
        known: dict[str, str] = {}
        if owner is not None:
            used = {label.letter for label in labels_of(owner)}
            for note in owner.notes:
                if note.label and note.label not in used:
                    known[note.label] = self.look.source.at(note.span)
        free = free_letter(owner) if isinstance(owner, Bar) else ascii_lowercase[0]
        if free and free not in known:
            known[free] = "a letter that is free in this bar"
        yield from self._offer(known, Group.LABEL, typed)

    def _marks(self) -> Iterator[Choice]:
        """Over an event stand other marks than at a stop."""
        head, _, last = self.word.rpartition("'")
        stem = head.rpartition("=")[2] if "=" in head else head
        declared = {mark.letter: f"{mark.printed}: {mark.meaning}" for mark in self.look.piece.heading.marks}
        over = "=" not in head and (not head or VALUE_START.match(head) is not None or head[0] in "_'\"")
        known: dict[str, str] = {}
        if stem and not (over and head.isdecimal()):
            known |= STOP_MARKS
        if over and not (":" in head or "," in head):
            known = {**HEAD_MARKS, **{letter: says for letter, says in known.items() if letter not in HEAD_MARKS}}
        known = {letter: says for letter, says in {**declared, **known}.items() if letter not in last}
        start = self.column
        for letter, says in known.items():
            yield Choice(letter, says, Group.MARK, start, start)

    # --- note lines -------------------------------------------------------------------------------------------

    def in_note(self) -> Iterator[Choice]:
        words = self.before.split()
        said = self.before.split(None, 1)[1] if len(words) > 1 else ""
        if len(words) > 1 and words[1] == ">":
            typed = said[1:].rpartition(",")[2].lstrip()
            yield from self._offer(_PINS, Group.VALUE, typed)
        elif len(words) == 1 or (len(words) == 2 and not self.before[-1:].isspace()):
            yield from self._offer(self._speakers(), Group.NAME, said)

    def _speakers(self) -> dict[str, str]:
        heading = self.look.piece.heading
        editors = {f"{initials}: ": f"a reason; {name}" for initials, name in heading.editors}
        sources = {f"!{one.siglum} ": f"what source {one.siglum} has; {one.text}" for one in heading.witnesses}
        return {**editors, ": ": "a word printed there", "> ": "the editor's own reading", **sources}
