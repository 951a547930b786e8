"""``longneck collate``."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from pipeline.cli.refusing import CLEAN, ERRORS, refuse
from pipeline.cli.running import exit_code
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.desk.collate.listing import collated_lines
from pipeline.desk.collate.record import Level
from pipeline.folder.collating import Done
from pipeline.folder.collating import collate as collate_pieces
from pipeline.folder.collating import take as take_source
from pipeline.folder.files import SUFFIX, NoSuchPieceError, PieceFile, discover, is_folder, may_exist

#: Not listed among the arguments: the text of the command says what they are.
_One = Annotated[Path, typer.Argument(metavar="TEXT", hidden=True, show_default=False)]
_Others = Annotated[list[Path] | None, typer.Argument(metavar="SOURCE", hidden=True, show_default=False)]


def collate(
    text: _One,
    sources: _Others = None,
    level: Annotated[
        Level, typer.Option("--level", help="How small a difference is a reading.", case_sensitive=False)
    ] = Level.SOUND,
    siglum: Annotated[
        list[str] | None, typer.Option("--siglum", metavar="B", help="What TEXT calls SOURCE; once for each SOURCE.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE.intav", help="Write to this file, and leave TEXT as it is.")
    ] = None,
    check: Annotated[
        bool, typer.Option("--check", help="Write nothing; the exit code is 1 if something would be written.")
    ] = False,
    take: Annotated[
        str, typer.Option("--take", metavar="B", help="Write what the source B has, by the readings in TEXT, to --out.")
    ] = "",
) -> None:
    """Write what other sources of a piece have into its text: the readings of every SOURCE into TEXT.

    All are pieces (*.intav), typed as their sources print them; figures or letters make no difference.
    Bars are matched by what they hold. Where little of a bar differs, a label and a note line say so at
    the sign or the event; where much does, a line gives the whole bar; a bar that SOURCE lacks is
    omitted there. Places that the editor of TEXT changed have the reading of SOURCE as well. TEXT comes
    out in canonical layout and is otherwise unchanged; its heading gets a line for SOURCE.

    \b
    --level says what is a difference:
        sound       other pitches, another time, another repeat
        print       also another course for a pitch, dots, slurs, marks, bar lines
        everything  also rhythm signs printed again, and beams

    Taken out again, the readings give what SOURCE has, at that level; if they would not, nothing is
    written and a finding says where. Collating again changes nothing. Sung lines, words, chord letters
    and lines between bars are compared, and what differs is told, not written.

    Exit codes: 0 done, 1 it cannot be done (or --check would write), 2 wrong usage.

    \b
    Examples:
        longneck collate venice.intav rome.intav
        longneck collate venice.intav rome.intav copy.intav --level print --out edition.intav
        longneck collate edition.intav --take B --out rome-again.intav
    """
    if take:
        _take(text, sources or [], take, out, others=check or bool(siglum) or level is not Level.SOUND)
    if not sources:
        refuse("name the text, and at least one other source of the piece")
    for name in siglum or ():
        if not re.fullmatch(r"[A-Z][A-Za-z0-9]*", name):
            refuse(f"--siglum {name}: a siglum begins with a capital, and has letters and figures only")
    if siglum and len(siglum) > len(sources):
        refuse("--siglum is given more often than there are other sources")
    if check and out is not None:
        refuse("--check writes nothing, so there is no --out")
    pieces = [_piece(path) for path in (text, *sources)]
    if len({piece.path.resolve() for piece in pieces}) < len(pieces):
        refuse("the same file is named twice")
    _may_go(out)
    done = collate_pieces(pieces[0], pieces[1:], siglum or (), level, out, write=not check)
    _end(done, level, check=check)


def _take(text: Path, sources: Sequence[Path], siglum: str, out: Path | None, *, others: bool) -> NoReturn:
    if sources or others:
        refuse("--take goes with one text and --out alone")
    if out is None:
        refuse("--take needs --out")
    _may_go(out)
    _end(take_source(_piece(text), siglum, out), None, check=False)


def _piece(path: Path) -> PieceFile:
    if not may_exist(path):
        refuse(f"there is no {path.as_posix()}")
    if is_folder(path):
        refuse(f"{path.as_posix()} is a folder; name pieces")
    try:
        return discover([path])[0]
    except NoSuchPieceError as error:
        refuse(str(error))


def _may_go(out: Path | None) -> None:
    """Refuse a place for the text that is none."""
    if out is None:
        return
    if out.suffix != SUFFIX:
        refuse(f"--out {out.as_posix()} does not have the name of a piece (*{SUFFIX})")
    if is_folder(out) or not is_folder(out.parent):
        refuse(f"--out {out.as_posix()} cannot be written there")


def _end(done: Done, level: Level | None, *, check: bool) -> NoReturn:
    if done.own:
        refuse(f"--siglum {done.own} is the source that {done.name} follows")
    target = console(sys.stdout)
    show_findings(target, done.diagnostics, {source.name: source for source in done.sources})
    made = [each for each in done.others if each.collated is not None and each.collated.tablature is not None]
    if level is not None and len(made) == len(done.others):
        for each in made:
            if each.collated is not None and each.witness is not None:
                show_lines(target, collated_lines(each.name, each.witness, each.collated, level))
    if done.occupied is not None:
        say(f"longneck: {done.occupied.as_posix()} holds another text; it is left as it is", err=True)
    elif done.path is not None:
        say(f"{done.path.as_posix()}  {'unchanged' if done.same else 'written'}")
    if done.fault:
        say_fault(done.fault)
    code = exit_code(done.diagnostics, faulty=bool(done.fault))
    would = check and bool(made) and not done.same
    raise typer.Exit(ERRORS if code == CLEAN and (would or done.occupied is not None) else code)
