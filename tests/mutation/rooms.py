"""Which tests matter to which room; fast ones first."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parent.parent.parent

#: Room → the sources (globs), the tests.
ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "resolve": (
        ("pipeline/source/resolve/[ps]*.py",),
        ("tests/notation", "tests/goldens", "tests/findings/test_faulty.py"),
    ),
    "clock": (("pipeline/source/resolve/clock.py",), ("tests/notation", "tests/goldens", "tests/source/checks")),
    "lead": (
        ("pipeline/edition/lead/*.py", "pipeline/edition/lead/lines/*.py"),
        ("tests/goldens", "tests/edition/test_lines.py", "tests/laws/test_notation.py"),
    ),
    "notate": (("pipeline/edition/notate/*.py",), ("tests/notation", "tests/goldens", "tests/laws/test_notation.py")),
    "musicxml": (("pipeline/writers/musicxml/*.py",), ("tests/goldens", "tests/writers/test_musicxml.py")),
    "mei": (("pipeline/writers/mei/*.py",), ("tests/goldens", "tests/writers/test_mei.py")),
    "events": (("pipeline/writers/events/*.py",), ("tests/goldens", "tests/writers/test_events.py")),
    "checks": (
        ("pipeline/source/checks/*.py",),
        ("tests/source/checks", "tests/findings/test_faulty.py", "tests/goldens"),
    ),
    "cache": (("pipeline/folder/cache/*.py",), ("tests/folder/test_cache.py",)),
}


def sources(room: str) -> list[Path]:
    """The files of a room, in order."""
    return [path for glob in ROOMS[room][0] for path in sorted(ROOT.glob(glob)) if path.name != "__init__.py"]
