"""Chord letters over the tablature stand next to it, under the titles of sections."""

from __future__ import annotations

import re

from pipeline.model.score import Score

_LETTER = re.compile(r'<harm ([^>]*type="chord-letter[^>]*)>(.*?)</harm>', re.DOTALL)
#: All letters of a system stand in one row.
_ROW = "41"


def under_titles(mei: str, score: Score) -> str:
    """The document as it is drawn. The engraver sets harmonies above all words, even titles; over a tablature at the
    top of a score the letters are drawn as words instead, which stand in the order in which they are written."""
    if not score.tablature or any(not staff.bass for staff in score.vocal):
        return mei
    return _LETTER.sub(_as_words, mei)


def _as_words(letter: re.Match[str]) -> str:
    upright = letter[2].replace("<rend ", '<rend fontstyle="normal" ')
    return f'<dir {letter[1]} vgrp="{_ROW}">{upright}</dir>'
