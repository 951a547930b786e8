"""How many cores this process may use: those it may run on, and no more than its control groups give it time on."""

from __future__ import annotations

import os
from collections.abc import Iterator
from math import ceil
from pathlib import Path

_GROUPS, _MOUNTED = Path("proc/self/cgroup"), Path("sys/fs/cgroup")


def cores(root: Path = Path("/")) -> int:
    """At least one. ``root`` is the top of the file system. Source: cgroups(7), and the kernel's documents on control
    groups: ``cpu.max`` of version 2, ``cpu.cfs_quota_us`` of version 1."""
    allowed = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(allowed, *(ceil(share) for share in _shares(root)), allowed))


def _shares(root: Path) -> Iterator[float]:
    """The cores' worth of time that each group gives which this process is in, and each above it."""
    for line in _words(root / _GROUPS, "\n"):
        _, _, rest = line.partition(":")
        controllers, _, name = rest.partition(":")
        inside = Path(name.lstrip("/"))
        for group in (inside, *inside.parents):
            if not controllers:
                for mounted in (_MOUNTED, _MOUNTED / "unified"):
                    yield from _share(_words(root / mounted / group / "cpu.max"))
            elif "cpu" in controllers.split(","):
                for mounted in (_MOUNTED / "cpu", _MOUNTED / controllers):
                    folder = root / mounted / group
                    yield from _share([*_words(folder / "cpu.cfs_quota_us"), *_words(folder / "cpu.cfs_period_us")])


def _share(words: list[str]) -> Iterator[float]:
    """Quota and period, in microseconds; a group without a quota says "max", or -1."""
    if len(words) == 2 and all(word.isdecimal() for word in words) and int(words[1]):
        yield int(words[0]) / int(words[1])


def _words(path: Path, between: str | None = None) -> list[str]:
    try:
        return path.read_text(encoding="utf-8", errors="replace").split(between)
    except OSError:
        return []
