"""Findings: what they are, how grave, and the value that carries them from stage to stage."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import Generic, TypeVar

from pipeline.model.text import Span

T = TypeVar("T")


class Severity(Enum):
    """How grave a finding is; only errors change the exit code."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of finding, with all that ``longneck explain`` says of it.

    ``slug`` is its stable name. ``faulty`` and ``mended`` are whole pieces (the first line included)
    or, where ``in_heading`` is false, the music lines under a plain heading; the tests build both. ``fixed`` says that
    it speaks of the file or of the run, not of what is typed: no heading changes its severity, no baseline holds it.
    """

    slug: str
    severity: Severity
    title: str
    why: str
    faulty: str
    mended: str
    fixed: bool = False


@dataclass(frozen=True, slots=True)
class Related:
    """Another place that a finding speaks of."""

    span: Span
    message: str


@dataclass(frozen=True, slots=True)
class Diagnostic:
    """One finding at one place. ``bar`` is the bar number as printed in the edition, if it has one; ``declared`` is
    the severity that a heading declares for its code, None where that of the code holds."""

    code: Code
    span: Span
    message: str
    hint: str = ""
    related: tuple[Related, ...] = ()
    bar: str = ""
    declared: Severity | None = None

    @property
    def severity(self) -> Severity:
        return self.declared or self.code.severity


@dataclass(frozen=True, slots=True)
class Outcome(Generic[T]):
    """What a stage made, and what it has to say of it."""

    value: T
    diagnostics: tuple[Diagnostic, ...] = field(default=())
