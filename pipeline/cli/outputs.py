"""Files that a command writes besides what it prints."""

from __future__ import annotations

from pathlib import Path

from pipeline.cli.asked import refuse


def write_output(path: Path, data: bytes) -> None:
    """Write a file whole, or refuse."""
    from pipeline.files import reason, write_whole  # noqa: PLC0415

    try:
        write_whole(path, data)
    except OSError as error:
        refuse(f"{path.as_posix()} cannot be written: {reason(error)}")
