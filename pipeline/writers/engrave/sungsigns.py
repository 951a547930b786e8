"""Signs at what is sung: brackets and doubts at notes, words and chord letters; letters of notes at the foot."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pipeline.model.notes import Editorial
from pipeline.model.score import Measure
from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.heads import editorial_signs
from pipeline.writers.engrave.places import Box, Places
from pipeline.writers.engrave.tabsigns import BRACKETED, DOUBTFUL
from pipeline.writers.engrave.text import rings

#: Sizes of a question mark behind a word, and of the number of a note at the foot.
_DOUBT, _NUMBER = 250, 190


#: A syllable with a name is marked: a bracket or a letter stands behind it.
_MARKED = re.compile(r'(<syl [^>]*?xml:id="w[^>]*>)([^<]*)(</syl>)')
_BLANK = "\u00a0"


def with_room_for_marks(mei: str) -> str:
    """The document with a blank behind marked syllables, for what is drawn there."""
    return _MARKED.sub(lambda syllable: f"{syllable[1]}{syllable[2]}{_BLANK}{syllable[3]}", mei)


def sung_signs(measure: Measure, places: Places) -> Iterator[str]:
    """Everything that is drawn over the voices and basses of one measure, and over its chord letters."""
    for staff in measure.sung:
        for note in staff.events:
            if note.editorial is not Editorial.PLAIN:
                yield from editorial_signs(note.id, note.editorial, places, None)
            for word in note.syllables:
                if word.editorial is not Editorial.PLAIN or word.footnote:
                    yield from _at_type(f"w{word.stanza}-{note.id}", word.editorial, word.footnote, places)
    for sign in measure.chord_signs:
        if sign.editorial is not Editorial.PLAIN or sign.footnote:
            yield from _at_type(sign.id, sign.editorial, sign.footnote, places)


def _at_type(name: str, editorial: Editorial, letter: str, places: Places) -> Iterator[str]:
    """Brackets around a piece of type, then a question mark, then the ringed number of the note, raised behind it."""
    box = places.words(name)
    if box is None:
        return
    right = box.right
    if editorial in BRACKETED:
        yield strokes.brackets(Box(box.left, box.top - 20, box.right, box.bottom + 50), 30)
        right += 40
    raised = box.top + 90
    if editorial in DOUBTFUL:
        yield strokes.text("?", right + 10, raised, _DOUBT, anchor="start")
        right += 110
    if letter:
        yield rings(letter, right + 22, box.top + 10, _NUMBER)
