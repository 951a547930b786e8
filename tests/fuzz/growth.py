"""How time grows with size: every hostile family at a quarter, half and the whole of a size, checked to the end."""

from __future__ import annotations

from tests.fuzz.families import FAMILIES
from tests.fuzz.running import run
from tests.fuzz.targets import TARGETS

#: Seconds of processor time for four megabytes that count as slow.
_SLOW = 20
_FOUR_MEGABYTES = 4 * 2**20


def growth(size: int) -> int:
    """Print the table; 1 if a family raises, takes too long, or grows much faster than its size."""
    wrong = 0
    for name, family in FAMILIES.items():
        tried = [run(name, TARGETS["check"].run, [family(part).encode()]) for part in (size // 4, size // 2, size)]
        before, whole = tried[1].seconds, tried[2].seconds
        said = " RAISES" if any(one.faults for one in tried) else ""
        said += " SLOW" if whole > _SLOW * max(1, size / _FOUR_MEGABYTES) else ""
        said += " GROWS" if whole > 1 and whole > 3 * before else ""
        wrong += bool(said)
        print(f"{name:44}" + "".join(f" {one.seconds:7.3f}" for one in tried) + said, flush=True)
    print(f"{len(FAMILIES)} families; {wrong or 'none'} wrong")
    return int(wrong > 0)
