"""Records made quickly are the frozen records that they say they are."""

from __future__ import annotations

import copy
import inspect
import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace

import pytest

from pipeline.model.notes import Notehead
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import quick

HEAD = Notehead("n-1", "b1e1c3", SpelledPitch("C", 0, 4), 1, 3, 1)


@dataclass(frozen=True, slots=True)
class Plain:
    """The same without haste."""

    name: str
    number: int = 3
    parts: tuple[str, ...] = ()


@quick
@dataclass(frozen=True, slots=True)
class Quick:
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
    for each in fields(one):
        with pytest.raises(FrozenInstanceError):
            setattr(one, each.name, None)
    with pytest.raises((FrozenInstanceError, AttributeError, TypeError)):
        one.another = 1  # type: ignore[union-attr]


def test_a_default_that_could_be_shared_is_refused() -> None:
    @dataclass(frozen=True, slots=True)
    class Shared:
        names: list[str] = field(default_factory=list)

    with pytest.raises(TypeError, match="names has a factory"):
        quick(Shared)
