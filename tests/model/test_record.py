"""Records made quickly are the frozen records that they say they are."""

from __future__ import annotations

import copy
import inspect
import pickle
from dataclasses import dataclass

import pytest

import pipeline.piece  # noqa: F401  (every record of the program)
from pipeline.model.notes import Notehead
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import Record, replace
from tests.records import names

HEAD = Notehead("n-1", "b1e1c3", SpelledPitch("C", 0, 4), 1, 3, 1)


@dataclass(frozen=True, slots=True)
class Plain:
    """The same without haste."""

    name: str
    number: int = 3
    parts: tuple[str, ...] = ()


class Quick(Record, frozen=True):
    """A record."""

    name: str
    number: int = 3
    parts: tuple[str, ...] = ()


def test_nothing_but_the_making_differs() -> None:
    assert inspect.signature(Quick).parameters.keys() == inspect.signature(Plain).parameters.keys()
    one = Quick("a", parts=("b",))
    assert type(one) is Quick and repr(one) == repr(Plain("a", parts=("b",))).replace("Plain", "Quick")
    assert one == Quick("a", 3, ("b",)) and hash(one) == hash(Quick("a", 3, ("b",))) and one != Quick("b")
    assert replace(one, number=4) == Quick("a", 4, ("b",))
    assert pickle.loads(pickle.dumps(HEAD)) == copy.copy(HEAD) == HEAD
    with pytest.raises(TypeError):
        Quick()  # type: ignore[call-arg]


@pytest.mark.parametrize("one", [Quick("a"), HEAD], ids=["record", "notehead"])
def test_frozen_for_good(one: Quick | Notehead) -> None:
    for name in names(one):
        with pytest.raises(AttributeError, match="immutable"):
            setattr(one, name, None)
    with pytest.raises(AttributeError):
        one.another = 1  # type: ignore[union-attr]


def test_a_default_that_could_be_shared_is_refused() -> None:
    with pytest.raises(TypeError, match="mutable"):

        class Shared(Record, frozen=True):
            names: list[str] = ["a"]  # noqa: RUF012


def test_every_record_is_frozen_and_hashes_by_its_fields() -> None:
    """A record made without ``frozen=True`` would be neither."""
    kinds = _below(Record)
    assert len(kinds) > 50
    assert [kind.__name__ for kind in kinds if not kind.__struct_config__.frozen] == []


def test_replace_serves_dataclasses_too_and_refuses_what_is_no_field() -> None:
    assert replace(Plain("a"), number=4) == Plain("a", 4)
    for one in (Plain("a"), Quick("a")):
        with pytest.raises(TypeError):
            replace(one, colour="red")


def _below(kind: type[Record]) -> list[type[Record]]:
    return [each for below in kind.__subclasses__() for each in (below, *_below(below))]
