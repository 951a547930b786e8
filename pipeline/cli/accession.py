"""``longneck accession``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, folder_for
from pipeline.cli.refusing import ERRORS, refuse
from pipeline.cli.running import exit_code
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import console, show_findings
from pipeline.findings.text import counted
from pipeline.folder.batch.accessions import ENDINGS, Accession, accession_all, files_under


def accession(
    paths: Paths,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the new texts.")],
    replace: Annotated[bool, typer.Option("--replace", help="Replace a text in DIR that is not the same.")] = False,
) -> None:
    """Take over the tablature of every PATH, an MEI or MusicXML file or a folder of them, as text.

    Read are figures with course and fret, rhythm signs, tuning, metre, bar lines and repeats, slurs,
    ornaments, fingering, words, sung lines with their stanzas, figured bass, chord letters, breaks of
    pages and systems, notes, title, composer and sources; in MEI also what an editor emended, added or
    left out, and what other sources have.

    What cannot be typed is listed with its place, and what the file says of pitch is held against its
    tuning, note for note. Where no tuning is told the signs are read, and no pitch is claimed.

    The new text lies under DIR; it is checked at once. A text there that is not the same is replaced
    with --replace only.

    \b
    Examples:
        longneck accession old/prelude.mei --out book
        longneck accession old/ --out book
    """
    folder_for(out)
    files, wrong = files_under(paths)
    for each in wrong:
        say(f"longneck: {each}", err=True)
    if not files:
        refuse(f"no files ({', '.join(ENDINGS)}) in {', '.join(path.as_posix() for path in paths)}")
    _end([_shown(done) for done in accession_all(files, out, over=replace)], faulty=bool(wrong))


def _shown(done: Accession) -> Accession:
    show_findings(console(sys.stdout), done.diagnostics, {source.name: source for source in done.sources})
    if done.occupied is not None:
        say(f"longneck: {done.occupied.as_posix()} holds another text; --replace replaces it", err=True)
    if done.path is not None:
        say(f"{done.path.as_posix()}  written from {done.name}: {counted(done.bars, 'bar')}")
    return done


def _end(done: Sequence[Accession], *, faulty: bool) -> None:
    faults = [one.fault for one in done if one.fault]
    for fault in faults:
        say_fault(fault)
    code = exit_code([found for one in done for found in one.diagnostics], faulty=bool(faults))
    raise typer.Exit(code or (ERRORS if faulty or any(one.occupied for one in done) else code))
