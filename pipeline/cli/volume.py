"""``longneck volume``."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import folder_for, pieces_under, slow, waits
from pipeline.cli.crews import MEGABYTES, SECONDS, Cluster, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.refusing import refuse
from pipeline.cli.reports import BaselineFile, Everything, ReportFiles, WriteBaseline, reporting
from pipeline.cli.running import run
from pipeline.cli.saying import say
from pipeline.cli.show import console
from pipeline.cli.show.progress import watched
from pipeline.folder.batch import build_all, leaves_of
from pipeline.folder.files import is_folder
from pipeline.folder.volume import BOOK, NotABookError, in_book, read_book, with_volume
from pipeline.model.artefacts import USUAL, Form
from pipeline.model.options import Options, Sheet
from pipeline.model.record import replace
from pipeline.model.staves import Staves


def volume(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", hidden=True, show_default=False)],
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the volume; created if missing.")
    ] = Path("out"),
    staves: Annotated[
        Staves, typer.Option("--staves", case_sensitive=False, help="What the edition prints, as for longneck build.")
    ] = Staves.ALL,
    paper: Annotated[Sheet, typer.Option("--paper", case_sensitive=False, help="Paper size of the pages.")] = Sheet.A4,
    proof: Annotated[bool, typer.Option("--proof", help="Make the proof pages too, for the editors.")] = False,
    report: ReportFiles = None,
    baseline: BaselineFile = None,
    write_baseline: WriteBaseline = False,
    everything: Everything = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
    cluster: Cluster = None,
) -> None:
    """Make a book of FOLDER: one PDF for the press, and one site that needs no server.

    \b
    A folder is a book when its heading.intav says so:
        book Trial book
        subtitle Pieces for the theorbo
        part theorbo = For the theorbo      pieces of a folder, in the order of these lines
        introduction front/introduction.md
        method front/method.md
        imprint A press, a town, a year     one line each
        edition 1.0, 2026-11-30             version and day; a piece can have its own
        licence CC BY 4.0, https://creativecommons.org/licenses/by/4.0/

    \b
    In DIR:
        volume.pdf     title, contents with incipits, texts, tunings, the pieces, critical report, index
        index.html     the site: search, the same texts and tables, each piece with its files

    A piece of two pages stands on facing ones; a longer one is turned where hands are free; short ones of
    a part share a page. A piece with errors is left out, and the contents say so. Numbers of pages before
    the music are Roman.

    \b
    Examples:
        longneck volume anthology/ --out book
        longneck volume anthology/ --out book --proof --staves source
    """
    asked = reporting(report, baseline, write_baseline, everything)
    if not is_folder(folder):
        refuse(f"{folder.as_posix()} is not a folder; a book is a folder of pieces")
    found = pieces_under([folder])
    folder_for(out)
    pieces = in_book(found.pieces, folder)
    try:
        read = read_book(folder, pieces)
    except NotABookError as error:
        refuse(str(error))
    forms = {*USUAL, Form.PDF, Form.MIDI} - ({Form.PROOF} if not proof else set())
    options = Options(staves=staves, paper=paper, forms=tuple(form for form in Form if form in forms))
    with crew(jobs, time_limit, memory_limit, cluster) as there:
        made = watched(leaves_of(pieces, options, there, slow), len(pieces), console(sys.stdout))
        leaves = {done.name: leaf for done, leaf in made}
        built = build_all(pieces, out, options, there, partial(waits, out), slow, index=False)
        bound = with_volume(built, pieces, read, leaves, out, options, _said)
        run(bound, replace(found, pieces=pieces), f"Bound into {(out / BOOK).as_posix()}. ", asked)


def _said(what: str) -> None:
    """Say how far the volume is, at a terminal only."""
    if sys.stderr.isatty():
        say(f"longneck: {what}", err=True)
