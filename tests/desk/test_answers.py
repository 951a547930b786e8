"""Answering a question of octaves: typing what the page proposes settles it, and changes nothing else that is typed."""

from __future__ import annotations

import pytest

from pipeline.desk.proof.proofs import proof_of
from pipeline.desk.proof.record import Hand, MarkedPlace, Proof
from pipeline.edition.apparatus import apparatus
from pipeline.edition.perform import perform
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from tests.made import HEADING, resolved, voiced

METRE = f"{HEADING}metre C\nkey D minor\n"
#: A line that goes down to a diapason: asked, or restored by the reading (07-bergamasca and 02-ground have the like).
MUSIC = [
    "| 4=13,5:2,2:0 4:2,1:0 3:2 ||",
    "| 4=X,4:2,3:3,2:1 4.=3:5 8=3:6\n| 4=13,4:2,3:3 8=13,3:2 3:3 2=X,3:3'T |||",
    "| 4=X,3:2 2:0 2=3:3'T\n| 4=8:0,3:2 3:3 2=7,2:0 |||",
    "| 4=X,3:2\n+ 2:0 2=3:3\n| 4=13,3:2 3:3\n+ 2=11,2:0 |||",
]


def proof(music: str) -> Proof:
    piece = voiced(music, METRE)
    text = SourceText.of("trial.intav", f"{METRE}\n{music}\n")
    return proof_of((text,), piece, apparatus(piece), Song(), perform(piece), (), ())


def open_places(found: Proof) -> list[MarkedPlace]:
    return [place for place in found.marks if place.octaves]


@pytest.mark.parametrize("music", MUSIC)
def test_what_is_proposed_settles_the_question(music: str) -> None:
    before = proof(music)
    for place in open_places(before):
        assert [answer.words for answer in place.answers] == [
            f"It means {place.meant}",
            f"It means {place.sounding}, as it sounds",
        ]
        for answer, octaves in zip(place.answers, (place.octaves, 0), strict=True):
            lines = list(before.texts[0].lines)
            lines[answer.first - 1 : answer.last] = answer.typed
            typed = "\n".join(lines[len(METRE.splitlines()) + 1 :])
            assert resolved(typed, METRE)[1] == resolved(music, METRE)[1]
            notes = {note.led.id: note for note in voiced(typed, METRE).notes}
            restored = notes[place.at[0]].led.restored
            assert (restored is not None and not restored.asked and bool(octaves)) or (
                octaves == 0 and restored is None
            )
            after = [each for each in open_places(proof(typed)) if each.at[0] == place.at[0]]
            assert all(each.hand is not Hand.ASKED for each in after)


def test_there_are_questions_to_answer() -> None:
    """The test above has something to do."""
    assert sum(len(open_places(proof(music))) for music in MUSIC) >= 3


def test_a_pin_that_stands_there_is_added_to() -> None:
    found = open_places(proof('| 4=13,5:2,2:0"a 4:2,1:0 3:2 ||\n"a > voice 2'))
    for place in found:
        if place.at[0] == "b1e1c2":
            assert place.answers[0].typed == ('"a > voice 2, octave up',)


def test_a_bar_typed_as_the_same_is_not_answered() -> None:
    found = proof("| 4=X,4:2,3:3,2:1 4.=3:5 8=3:6\n| 4=13,4:2,3:3 8=13,3:2 3:3 2=X,3:3\n| ditto\n| ditto 2")
    for place in open_places(found):
        assert place.answers == () if place.at[0].startswith(("b3", "b4", "b5")) else place.answers != ()
