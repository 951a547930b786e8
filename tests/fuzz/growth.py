"""How time grows with size: every hostile family at an eighth, a quarter, half and the whole of a size."""

from __future__ import annotations

from collections.abc import Callable

from pipeline.model.diagnostics import Diagnostic
from tests.fuzz import targets
from tests.fuzz.families import FAMILIES
from tests.fuzz.running import run
from tests.fuzz.voicefamilies import VOICE_FAMILIES, largest

Check = Callable[[bytes], tuple[Diagnostic, ...]]
Family = Callable[[int], bytes]

#: Seconds of processor time that count as slow, whatever the size.
SLOW = 15.0
#: Four times the text may take this many times as long, where it takes so long that it matters: the reader of notation
#: files is slower than linear, which is why there are limits for what it is given.
_FACTOR, _MATTERS = 8.0, 3.0
_PARTS = (8, 4, 2, 1)
#: Findings that say where reading ended, or that there was nothing to read.
_ENDS = (
    "file-too-large", "voice-file-missing", "too-much", "findings-cut-off", "voice-file-broken", "voice-file-unsafe",
)  # fmt: skip


def growth(size: int) -> int:
    """Print a table of pieces and one of notation files (no larger than are read of their kind); 1 if one raises, takes
    too long, or grows much faster than its size."""
    head = "".join(f"{f'1/{part}' if part > 1 else 'whole':>9}" for part in _PARTS)
    print(f"{'seconds of the processor':46}{'bytes':>11}{head}  ends with", flush=True)
    wrong = sum(_row(name, targets.check, _encoded(family), size) for name, family in FAMILIES.items())
    wrong += sum(_row(name, targets.voice, family, min(size, largest(name))) for name, family in VOICE_FAMILIES.items())
    print(f"{len(FAMILIES) + len(VOICE_FAMILIES)} families; {wrong or 'none'} wrong")
    return int(wrong > 0)


def _encoded(family: Callable[[int], str]) -> Family:
    return lambda size: family(size).encode()


def sized(family: Family, size: int) -> bytes:
    """A member of a family of about so many bytes, and never more than them, however long its characters are."""
    made, asked = family(size), size
    while len(made) > size and asked > size // 16:
        asked = int(asked * 0.99 * size / len(made))
        made = family(asked)
    return made


def _row(name: str, promise: Check, family: Family, size: int) -> bool:
    found: list[tuple[Diagnostic, ...]] = []
    inputs = [sized(family, size // part) for part in _PARTS]
    tried = [run(name, lambda data: found.append(promise(data)), [data]) for data in inputs]
    took = [one.seconds for one in tried]
    said = " RAISES" if any(one.faults for one in tried) else ""
    said += " SLOW" if max(took) > SLOW else ""
    said += " GROWS" if _grows(took) else ""
    slugs = {one.code.slug for one in found[-1]} if found else set()
    end = next((slug for slug in _ENDS if slug in slugs), "")
    times = "".join(f"{seconds:9.3f}" for seconds in took)
    print(f"{name:46}{len(inputs[-1]):11,}{times}  {end}{said}", flush=True)
    return bool(said)


def _grows(took: list[float]) -> bool:
    pairs = zip(took, took[2:], strict=False)
    return any(after > _MATTERS and after > _FACTOR * max(before, 0.1) for before, after in pairs)
