"""One sign and a bracket over a run of restored octaves."""

from __future__ import annotations

import re

from pipeline.edition.casting import cast_off
from pipeline.writers.engrave import engrave
from pipeline.writers.mei import write_mei
from tests import made

PIN = '"a > octave up\n"b > octave kept\n'
RUN = f'| 4=3:2"b 1:0"a 1:2"a 1:3"a\n{PIN}'


def page_of(music: str) -> str:
    score = made.score(music, made.HEADING + "metre C\nkey C major\nvoices 1\n")
    return "".join(engrave(write_mei(cast_off(score)), score).pages)


def music_of(page: str) -> str:
    """The page without the key to the signs."""
    return page.partition('class="legend"')[0]


def test_a_run_has_one_sign_and_a_bracket() -> None:
    """Source: common practice, no source."""
    page = music_of(page_of(RUN))
    assert page.count(">(8)<") == 1
    assert len(re.findall(r'class="bracketSpan octave"><text [^>]*>\(8\)</text><path [^>]*stroke-dasharray', page)) == 1


def test_the_sign_stands_again_on_every_line() -> None:
    page = music_of(page_of(RUN + f'| 4=1:0"a 1:2"a 1:3"a 1:2"a\n{PIN}'.replace('"b > octave kept\n', "") * 9))
    lines = page.count('class="system"')
    assert lines > 1
    assert page.count(">(8)<") == lines


def test_no_dashes_over_a_bar_line() -> None:
    page = page_of(RUN + f'| 1=3:0"b\n{PIN}'.replace('"a > octave up\n', ""))
    assert page.count('class="gliss"') == 1
