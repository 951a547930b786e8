"""The list of instruments that a heading can name."""

from __future__ import annotations

from collections.abc import Iterator

from rich.text import Text

from pipeline.findings.text import INDENT
from pipeline.model.instrument import Instrument
from pipeline.model.presets import PRESETS


def instrument_list() -> Iterator[Text]:
    """Each preset: its name, other names, the pitches from course 1 on, and where the tuning is from."""
    for preset in PRESETS:
        yield Text(preset.name, "bold")
        yield Text(INDENT + _tuning(preset.instrument))
        if preset.aliases:
            yield Text(f"{INDENT}also called: {'; '.join(preset.aliases)}")
        yield Text(f"{INDENT}source: {preset.source}", "dim")


def _tuning(instrument: Instrument) -> str:
    """``1 A3  2 E3 …``, with a stroke before the first course beside the fingerboard."""
    shown = []
    for course in instrument.courses:
        if course.number == instrument.over_fingerboard + 1:
            shown.append("·")
        strings = "+".join(map(str, course.strings))
        shown.append(f"{course.number}:{strings}")
    return " ".join(shown)
