"""Tempo words with a number. A dotted minim is three crotchets (common practice, no source)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from pipeline.model.tempo import tempo_of


@pytest.mark.parametrize(
    ("text", "words", "crotchets"),
    [
        ("Adagio", "Adagio", 0),
        ("Adagio 4=60", "Adagio", 60),
        ("Adagio, 4 = 60", "Adagio", 60),
        ("Allegro (2.=40)", "Allegro", 120),
        ("4.=60", "", 90),
        ("Tempo 3", "Tempo 3", 0),
        ("ma non 14=60", "ma non 14=60", 0),
    ],
)
def test_the_number_behind_the_words(text: str, words: str, crotchets: int) -> None:
    tempo = tempo_of(text)
    assert (tempo.words, tempo.crotchets(Fraction(1))) == (words, crotchets)


def test_halved_values_and_what_nobody_can_follow() -> None:
    assert tempo_of("2=60").crotchets(Fraction(1, 2)) == 60
    assert tempo_of("2=60").possible(Fraction(1))
    assert not tempo_of("4=5").possible(Fraction(1))
    assert not tempo_of("1=400").possible(Fraction(1))
