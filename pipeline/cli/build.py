"""``longneck build``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from pipeline.cli.app import app
from pipeline.cli.asked import Paths, pieces_under, refuse, run
from pipeline.model.copy import Fullness
from pipeline.options import Sheet

if TYPE_CHECKING:
    from pipeline.model.interval import Interval
    from pipeline.model.pitch import SpelledPitch


@app.command(short_help="Build the editions, each into a folder of its own.")
def build(
    paths: Paths,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the editions; made if need be.")] = Path(
        "out"
    ),
    transpose: Annotated[
        str, typer.Option("--transpose", metavar="INTERVAL", help="Move the singer's copy: M2 up, -m3 down.")
    ] = "",
    voice_range: Annotated[
        str, typer.Option("--range", metavar="LOW:HIGH", help="Move it to suit a voice, as C4:G5.")
    ] = "",
    texture: Annotated[
        Fullness, typer.Option("--texture", help="How full the copy's accompaniment is.")
    ] = Fullness.PLAYABLE,
    chord_names: Annotated[bool, typer.Option("--chord-names", help="Names of the chords in the copy.")] = False,
    copy: Annotated[bool, typer.Option("--copy/--no-copy", help="Make the singer's copy at all.")] = True,
    midi: Annotated[bool, typer.Option("--midi", help="Also a MIDI file to practise with.")] = False,
    pdf: Annotated[bool, typer.Option("--pdf", help="Also the pages as PDF.")] = False,
    paper: Annotated[Sheet, typer.Option("--paper", help="The paper that the pages are set on.")] = Sheet.A4,
) -> None:
    """Build the edition of every PATH: a piece (*.intav), or a folder with all pieces under it.

    \b
    Each piece gets a folder of its own under DIR, named like its path without .intav:
        edition.musicxml    for a notation program
        edition.mei         for an archive
        edition-001.svg …   the pages, to read and to print
        reduction.*         the singer's copy: voice and words over two staves, no tablature
        events.xml          every sign: its place, what sounds, in which voice, how long
        findings.json       all that was found, for other programs

    A piece with errors is still built as far as it can be read, and never stops the others. A piece
    inherits the heading.intav of its folder and of the folders above it, up to the one that holds
    .git.

    \b
    Examples:
        longneck build song.intav
        longneck build book/ --out editions
        longneck build song.intav --range C4:G5 --pdf --midi
    """
    from pipeline.batch import build_all  # noqa: PLC0415
    from pipeline.options import Options  # noqa: PLC0415

    options = Options(
        copy=copy,
        fullness=texture,
        transpose=_interval(transpose) if transpose else None,
        voice_range=_range(voice_range) if voice_range else None,
        chord_names=chord_names,
        midi=midi,
        pdf=pdf,
        paper=paper,
    )
    if transpose and voice_range:
        refuse("--transpose and --range both say where the copy goes; give one of them")
    pieces = pieces_under(paths)
    if out.exists() and not out.is_dir():
        refuse(f"--out {out.as_posix()} is a file, not a folder")
    by_place = {piece.place: piece for piece in pieces}
    for piece in pieces:
        if by_place[piece.place] is not piece:
            refuse(f"two pieces would be built into {(out / piece.place).as_posix()}; build them apart")
    run(build_all(pieces, out, options), pieces, f"Built into {out.as_posix()}/. ")


def _interval(text: str) -> Interval:
    from pipeline.model.interval import Refused, parse_interval  # noqa: PLC0415

    found = parse_interval(text)
    if isinstance(found, Refused):
        refuse(f"--transpose: {found.message}; {found.hint}")
    return found


def _range(text: str) -> tuple[SpelledPitch, SpelledPitch]:
    from pipeline.model.interval import Refused, parse_range  # noqa: PLC0415

    found = parse_range(text)
    if isinstance(found, Refused):
        refuse(f"--range: {found.message}; {found.hint}")
    return found
