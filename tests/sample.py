"""A few pieces of the demo anthology with the headings above them: a collection that is built in a moment."""

from __future__ import annotations

import shutil
from collections.abc import Iterable
from pathlib import Path

ANTHOLOGY = Path(__file__).parent.parent / "fixtures" / "anthology"


def copy_of(pieces: Iterable[str], folder: Path) -> int:
    """Lay these pieces (``theorbo/02-ground``), their headings and images into a new folder; returns how many."""
    wanted = set(pieces)
    for path in sorted(ANTHOLOGY.rglob("*")):
        name = path.relative_to(ANTHOLOGY)
        if path.is_dir() or (path.suffix == ".intav" and path.stem != "heading" and str(name)[:-6] not in wanted):
            continue
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(path, folder / name)
    assert all((folder / f"{name}.intav").is_file() for name in wanted)
    return len(wanted)
