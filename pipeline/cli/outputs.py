"""Files that a command writes besides what it prints."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from pipeline.cli.refusing import refuse
from pipeline.folder.files import SUFFIX, is_folder, reason, write_parts


def can_be_written(*paths: Path | None) -> None:
    """Refuse, before any work begins, files that no output can go to, or one that is to hold two."""
    asked = [path for path in paths if path is not None]
    for path in asked:
        shown = str(path)
        if [other.resolve() for other in asked].count(path.resolve()) > 1:
            refuse(f"{shown} is named for two outputs")
        if path.name.endswith(SUFFIX):
            refuse(f"{shown} has the name of a piece; no other output is written there")
        if is_folder(path):
            refuse(f"{shown} is a folder")
        if not is_folder(path.parent):
            refuse(f"{shown} cannot be written: there is no folder {path.parent.as_posix()}")


def write_output(path: Path, parts: Iterable[bytes]) -> None:
    """Write a file of these parts whole, or refuse."""
    try:
        write_parts(path, parts)
    except OSError as error:
        refuse(f"{path.as_posix()} cannot be written: {reason(error)}")
