"""Files of small cases of notation.

A file begins with heading lines and ``rule NAME: TEXT. Source: …`` lines. A case follows ``== NAME``: ``rule: NAME`` of
the rule that its expectation is argued from, heading lines of its own (they win), the bars as typed, ``--``, and lines
of :mod:`tests.dump` that must be there word for word. ``fault: …`` says what the program does not do yet.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = Path(__file__).parent
_MUSIC = ("|", "&", "!", '"', "opens", "ending", "section", "tempo", "again")


@dataclass
class Case:
    """One case. ``expected`` is measure and key → tokens."""

    file: str
    name: str
    rules: dict[str, str]
    heading: dict[str, str]
    rule: str = ""
    fault: str = ""
    music: list[str] = field(default_factory=list)
    expected: dict[str, str] = field(default_factory=dict)

    @property
    def head(self) -> str:
        """The heading as typed."""
        return "\n".join(["longneck 1", *(f"{key} {value}" for key, value in self.heading.items())]) + "\n"


def cases() -> Iterator[Case]:
    """All cases of all files, in order."""
    for path in sorted(FOLDER.glob("*.txt")):
        yield from _cases(path)


def _cases(path: Path) -> Iterator[Case]:
    first, *rest = path.read_text(encoding="utf-8").split("\n== ")
    rules: dict[str, str] = {}
    heading: dict[str, str] = {}
    for line in first.splitlines():
        if line.startswith("rule "):
            name, _, text = line.removeprefix("rule ").partition(": ")
            rules[name] = text
        elif line and not line.startswith("#"):
            heading.update([_heading(line)])
    for block in rest:
        yield _case(path.name, block, rules, heading)


def _case(file: str, block: str, rules: dict[str, str], heading: dict[str, str]) -> Case:
    name, *lines = [line for line in block.splitlines() if line and not line.startswith("#")]
    case = Case(file, name, rules, dict(heading))
    split = lines.index("--")
    for line in lines[:split]:
        if line.startswith(("rule: ", "fault: ")):
            key, _, value = line.partition(": ")
            setattr(case, key, value)
        elif case.music or line.startswith(_MUSIC):
            case.music.append(line)
        else:
            case.heading.update([_heading(line)])
    for line in lines[split + 1 :]:
        key, _, value = line.partition(": ")
        assert key not in case.expected, f"{file}: {name}: {key} twice"
        case.expected[key] = value
    return case


def _heading(line: str) -> tuple[str, str]:
    """Key and value; a mark's letter belongs to its key, for there may be several."""
    key, _, value = line.partition(" ")
    if key == "mark":
        letter, _, value = value.partition(" ")
        key = f"mark {letter}"
    return key, value
