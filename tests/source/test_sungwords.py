"""Words of stanzas and chord letters: what the edition reads, what the source has. Source: the rule's own grammar."""

from __future__ import annotations

import pytest

from pipeline.model.signs import Act, Reading
from pipeline.source.parse.sungwords import read_word


@pytest.mark.parametrize(
    ("typed", "reading"),
    [
        ("duo-!do-", Reading(Act.EMENDED, "duo-", "do-")),
        ("_!lo", Reading(Act.EMENDED, "_", "lo")),
        ("pian-!-", Reading(Act.ADDED, "pian-", None)),
        ("-!la", Reading(Act.REMOVED, None, "la")),
        ("pian-!?", Reading(Act.SUPPLIED_ILLEGIBLE, "pian-", None)),
        ("pian-!*", Reading(Act.SUPPLIED_LOST, "pian-", None)),
        ("-!?", Reading(Act.ILLEGIBLE, None, None)),
        ("-!*", Reading(Act.LOST, None, None)),
        ("ahi!!ohi", Reading(Act.EMENDED, "ahi!", "ohi")),
        ("ahi!ohi!", Reading(Act.EMENDED, "ahi", "ohi!")),
        ("O!E", Reading(Act.EMENDED, "O", "E")),
    ],
)
def test_emended(typed: str, reading: Reading[str]) -> None:
    assert read_word(typed) == reading


@pytest.mark.parametrize("typed", ["ahi!", "ahi!!", "ahi!_o", "Oimè!_il", "!", "-", "_", "perché?", "!là", "-!-", "la"])
def test_a_mark_of_exclamation_is_part_of_the_word(typed: str) -> None:
    assert read_word(typed) is None
