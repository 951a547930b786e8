"""What commands are asked to work on, and what they say before they begin."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.refusing import refuse
from pipeline.cli.saying import say
from pipeline.folder.batch.clearing import clear
from pipeline.folder.batch.index import renew_index
from pipeline.folder.files import (
    HEADING,
    SUFFIX,
    Found,
    NoSuchPieceError,
    collection_of,
    is_folder,
    may_exist,
    reason,
    sole_writer,
    survey,
)

#: Not listed among the options: the texts of the commands say what a PATH is.
#: One that cannot be read is a finding beside the others, so nothing is refused here for that.
Paths = Annotated[list[Path], typer.Argument(metavar="PATH", hidden=True, show_default=False, readable=False)]


def pieces_under(paths: Sequence[Path], *, headings: bool = False) -> Found:
    """What lies under the paths. Refuses paths with nothing to work on; says which links are not followed."""
    try:
        found = survey(paths, headings=headings)
    except NoSuchPieceError as error:
        refuse(str(error))
    for link in found.links:
        say(f"longneck: {link} is a link to another folder, which is not looked into", err=True)
    if not found.pieces and not found.unread:
        if all(path.name == HEADING for path in paths):
            refuse(f"{paths[0].as_posix()} is not a piece: it is the heading that the pieces of its folder inherit")
        refuse(f"no pieces (*{SUFFIX}) in {', '.join(path.as_posix() for path in paths)}")
    return found


def from_top(paths: Sequence[Path]) -> list[Path]:
    """The paths, those that are not there taken from the top of the collection around the current folder, if they are
    there: so pages name pieces."""
    top = collection_of(Path.cwd())
    found = []
    for path in paths:
        named = top / path if top is not None and not path.is_absolute() and not may_exist(path) else path
        found.append(Path(os.path.relpath(named)) if named is not path and may_exist(named) else path)
    return found


def folder_for(out: Path) -> None:
    """Refuse a place for the editions that is no folder."""
    if may_exist(out) and not is_folder(out):
        refuse(f"--out {out.as_posix()} is a file, not a folder")


def waits(out: Path) -> None:
    """Say that another build is writing there."""
    say(f"longneck: another build is writing into {out.as_posix()}; waiting for it to finish", err=True)


def slow(name: str, waiting: int) -> None:
    """Say which piece others wait for."""
    say(f"longneck: {waiting} pieces are done, and wait for {name}, which comes before them", err=True)


def clear_gone(folders: Sequence[Path], out: Path) -> None:
    """Clear the editions of pieces that are gone, and say so; the page of all pieces names them no more."""
    if not folders:
        return
    try:
        with sole_writer(out, partial(waits, out)):
            for folder in folders:
                clear([folder], out)
                say(f"{folder.as_posix()}  cleared")
            renew_index(out)
    except OSError as error:
        refuse(f"{out.as_posix()} cannot be cleared of removed pieces: {reason(error)}")
