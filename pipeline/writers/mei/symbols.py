"""Signs of the tablature that no engraver prints by itself: the symbol table and the references to it."""

from __future__ import annotations

from pipeline.model.glyphs import BLANK, FRET_LETTERS, glyphs_of
from pipeline.model.notes import Ink, TabFigure
from pipeline.model.score import Score
from pipeline.writers.mei.names import XML_ID, Element, name, sub

_SYMBOL_TABLE, _SYMBOL_DEF, _SYMBOL = name("symbolTable"), name("symbolDef"), name("symbol")


class Symbols:
    """Which figures need a symbol of their own; filled once per score, then only looked up."""

    __slots__ = ("_french", "_ids", "_known")

    def __init__(self, score: Score) -> None:
        self._french = score.course_1_above
        self._ids: dict[tuple[int, ...], str] = {}
        self._known: dict[tuple[int, int, str, Ink], str] = {}
        for measure in score.measures:
            for event in measure.tab:
                for figure in event.figures:
                    key = (figure.course, figure.fret, figure.text, figure.ink)
                    if key not in self._known:
                        self._known[key] = self._symbol(figure)

    def of(self, figure: TabFigure) -> str:
        """The reference for ``altsym``; empty if the figure prints as it should without."""
        return self._known[figure.course, figure.fret, figure.text, figure.ink]

    def _symbol(self, figure: TabFigure) -> str:
        if figure.ink is Ink.LOST:
            glyphs: tuple[int, ...] = (BLANK,)
        elif figure.ink is Ink.ILLEGIBLE:
            glyphs = glyphs_of("?")
        elif figure.course and figure.text == self._native(figure.course, figure.fret):
            return ""
        else:
            glyphs = glyphs_of(figure.text)
        if not glyphs:
            return ""
        return "#" + self._ids.setdefault(glyphs, "sign-" + "-".join(f"{glyph:04X}" for glyph in glyphs))

    def _native(self, course: int, fret: int) -> str:
        """What an engraver that knows lute tablature prints for a stop."""
        if not self._french:
            return str(course) if course > 7 and fret == 0 else str(fret) if course < 7 else ""
        if course > 10:
            return str(course - 7)
        if course > 6:
            return "/" * (course - 7) + "a"
        return FRET_LETTERS[fret] if 0 <= fret < len(FRET_LETTERS) else ""

    def write(self, score_def: Element) -> None:
        """``symbolTable``, if there is anything in it."""
        if not self._ids:
            return
        table = sub(score_def, _SYMBOL_TABLE)
        for glyphs, symbol in self._ids.items():
            definition = sub(table, _SYMBOL_DEF, {XML_ID: symbol})
            for glyph in glyphs:
                sub(definition, _SYMBOL, {"glyph.num": f"U+{glyph:04X}", "glyph.auth": "smufl"})
