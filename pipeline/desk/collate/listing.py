"""What was collated, for the reader at a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from rich.text import Text

from pipeline.desk.collate.record import Collated, Level
from pipeline.findings.printing import printable
from pipeline.findings.text import INDENT, counted
from pipeline.model.heading import Witness

_DIFFER = {
    Level.SOUND: "differs in sound",
    Level.PRINT: "differs in print",
    Level.EVERYTHING: "differs",
}


def collated_lines(name: str, witness: Witness, collated: Collated, level: Level) -> Iterator[Text]:
    """What a source is called, its readings bar by bar as typed, and the sum."""
    yield Text(printable(f"{name}: {witness.siglum} = {witness.text}"), "bold")
    for bar in collated.written:
        yield Text.assemble(
            INDENT, (f"Bar {bar.bar}" if bar.bar else "Upbeat", "bold cyan"), (f"  (line {bar.number})", "dim")
        )
        yield from (Text(printable(f"{INDENT * 2}{line}")) for line in bar.lines)
    differing = len(collated.written)
    words = f"{differing} {_DIFFER[level] if differing == 1 else _DIFFER[level].replace('differs', 'differ')}"
    yield Text(f"{INDENT}{counted(collated.bars, 'bar')} collated: {words if differing else 'none ' + _DIFFER[level]}.")
