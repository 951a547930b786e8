"""Words under notes: hyphens, melismas, elisions, and stanzas that do not fit."""

from __future__ import annotations

from collections.abc import Iterable

from pipeline.findings.codes.song import STANZA_DOES_NOT_FIT, TOO_FEW_SYLLABLES, TOO_MANY_SYLLABLES, WORD_UNCLEAR
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.layers import LayerLine
from pipeline.model.signs import Unread
from pipeline.model.song import Syllable, WordPlace
from pipeline.model.text import Span
from pipeline.source.parse.sungwords import NONE, begins_oddly, read_word
from pipeline.source.sing.drafts import Draft, SungStretch, Word

MELISMA, ELISION = "_", "‿"


class Stanza:
    """One stanza of one vocal line: which word is open, which syllable can still be drawn out."""

    def __init__(self, number: int) -> None:
        self.number = number
        self.found: list[Diagnostic] = []
        self._open: Span | None = None
        self._last: Word | None = None

    def under(self, line: LayerLine, drafts: list[Draft], all_read: bool) -> None:
        """Put the words of a line under the notes of its bar, one word to a note; rests take none. ``all_read``
        says that no note of the bar is unread, so that they can be counted."""
        sung = [draft for draft in drafts if not draft.silent]
        if all_read:
            self._count(line, sung)
        labels = line.word_labels or ((),) * len(line.words)
        for draft, (typed, span), behind in zip(sung, line.words, labels, strict=False):
            reading = read_word(typed)
            if begins_oddly(typed):
                self.found.append(word_unclear(typed, span))
            text = typed if reading is None else reading.edition or NONE
            if text in (NONE, MELISMA) and (behind or reading is not None):
                draft.unsung.append(Syllable(self.number, "", WordPlace.SINGLE, False, span, behind, reading))
            if text == NONE:
                continue
            if text == MELISMA:
                self._melisma(draft, span)
                continue
            if draft.tied:
                self._on_tie(span)
            word = self._word(text, span)
            word.labels, word.reading = behind, reading
            draft.words.append(word)
            self._last = word

    def broken(self, stretch: SungStretch | None) -> None:
        """The stanza has no words here (None: at the end of the piece), though there are notes to sing."""
        if self._open is None:
            return
        where = "the piece ends" if stretch is None else f"stanza {self.number} has no words in {stretch.name}"
        message = f"A hyphen says that the word goes on, but {where}."
        hint = "Remove the hyphen, or type the rest of the word."
        self.found.append(Diagnostic(STANZA_DOES_NOT_FIT, self._open, message, hint))
        self._open = None

    def leave(self) -> None:
        """Here the words may go elsewhere: another ending, a gap."""
        self._open = None

    def _count(self, line: LayerLine, sung: list[Draft]) -> None:
        words, notes = len(line.words), len(sung)
        if words > notes:
            first, last = line.words[notes][1], line.words[-1][1]
            span = first.to(last) if first.line == last.line else first
            code, hint = TOO_MANY_SYLLABLES, "Two vowels on one note are typed together: ti_a"
        elif words < notes:
            span = line.span
            code, hint = (
                TOO_FEW_SYLLABLES,
                "A note on the syllable before takes _, also a tied one; one without words -",
            )
        else:
            return
        message = f"{_many(words, 'word')} for {_many(notes, 'note')} of {line.over} in this bar."
        self.found.append(Diagnostic(code, span, message, hint))

    def _melisma(self, draft: Draft, span: Span) -> None:
        draft.melisma.add(self.number)
        if self._last is not None:
            self._last.extends = True
            return
        message = "There is no syllable before this _ to draw out."
        self.found.append(Diagnostic(TOO_FEW_SYLLABLES, span, message, "A note without words takes -"))

    def _on_tie(self, span: Span) -> None:
        message = "This syllable stands under a note tied to the one before."
        hint = "A tied note takes _; or the tie is a misprint."
        self.found.append(Diagnostic(TOO_MANY_SYLLABLES, span, message, hint))

    def _word(self, text: str, span: Span) -> Word:
        goes_on = len(text) > 1 and text.endswith("-")
        begun = self._open is not None
        place = {
            (False, False): WordPlace.SINGLE,
            (False, True): WordPlace.BEGIN,
            (True, True): WordPlace.MIDDLE,
            (True, False): WordPlace.END,
        }[begun, goes_on]
        self._open = span if goes_on else None
        return Word(self.number, (text[:-1] if goes_on else text).replace("_", ELISION), place, span)


def word_unclear(typed: str, span: Span) -> Diagnostic:
    """The finding on a word, or a chord letter, that begins with a mark of exclamation."""
    message = f"“{typed}” is kept as typed: a mark of exclamation before a word says nothing."
    return Diagnostic(WORD_UNCLEAR, span, message, f"Left out by the edition is typed -{typed}")


class Text:
    """All stanzas of one vocal line."""

    def __init__(self) -> None:
        self.stanzas: dict[int, Stanza] = {}
        self._ending = 0

    @property
    def found(self) -> list[Diagnostic]:
        return [finding for stanza in self.stanzas.values() for finding in stanza.found]

    def bar(self, typed: LayerLine, under: Iterable[LayerLine], drafts: list[Draft], stretch: SungStretch) -> None:
        """The words of one bar."""
        if stretch.bars[0].ending != self._ending:
            self._ending = stretch.bars[0].ending
            self.leave()
        all_read = not any(isinstance(note, Unread) for note in typed.notes)
        here: set[int] = set()
        for line in under:
            number = int(line.name)
            here.add(number)
            self.stanzas.setdefault(number, Stanza(number)).under(line, drafts, all_read)
        if any(not draft.silent and not draft.tied and not draft.slurred for draft in drafts):
            for number, stanza in self.stanzas.items():
                if number not in here:
                    stanza.broken(stretch)

    def leave(self) -> None:
        """Words may be lost here."""
        for stanza in self.stanzas.values():
            stanza.leave()

    def end(self) -> None:
        """The piece is over."""
        for stanza in self.stanzas.values():
            stanza.broken(None)


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
