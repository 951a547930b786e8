"""Frozen records that are cheap to make.

A build makes some fifty records for each event of a piece. ``dataclass(frozen=True)`` sets every field through
``object.__setattr__``, which takes several times as long as plain assignment and was a sixth of all our own time. Over
such a class ``@quick`` puts another ``__init__``: while it fills the slots the object belongs to a twin class of the
same layout that allows assignment, and then to its own class for good. Nothing else about the class changes.
"""

from __future__ import annotations

from dataclasses import MISSING, fields
from typing import Any, TypeVar

T = TypeVar("T")


def quick(cls: type[T]) -> type[T]:
    """Make instances of a frozen dataclass with slots and without bases quick to make.

    Raises TypeError for a default that comes from a factory.
    """
    made: Any = cls
    known: dict[str, Any] = {
        "own": made,
        "twin": type(made.__name__, (), {"__slots__": tuple(field.name for field in fields(made))}),
        "become": object.__setattr__,
    }
    arguments = []
    for field in fields(made):
        if field.default_factory is not MISSING:
            raise TypeError(f"{made.__name__}.{field.name} has a factory")
        if field.default is MISSING:
            arguments.append(field.name)
        else:
            known[f"default_{field.name}"] = field.default
            arguments.append(f"{field.name}=default_{field.name}")
    lines = [
        f"def __init__(self, {', '.join(arguments)}):",
        "    become(self, '__class__', twin)",
        *(f"    self.{field.name} = {field.name}" for field in fields(made)),
        "    self.__class__ = own",
    ]
    exec("\n".join(lines), known)  # as dataclasses itself makes its own
    made.__init__ = known["__init__"]
    return cls
