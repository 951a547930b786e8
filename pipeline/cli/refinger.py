"""``longneck refinger``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, folder_for, pieces_under
from pipeline.cli.crews import MEGABYTES, SECONDS, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.moving import kept_file, known_instrument, where_to
from pipeline.cli.refusing import ERRORS, refuse
from pipeline.cli.running import exit_code
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import console, show_findings
from pipeline.desk.move.wish import Wish
from pipeline.findings.text import counted
from pipeline.folder.batch.refingering import Refingered, Wanted, refinger_all
from pipeline.folder.files import Found, unread_finding
from pipeline.model.chordletters import Letters
from pipeline.model.interval import UNISON
from pipeline.model.signs import Signs


def refinger(
    paths: Paths,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the new texts.")],
    transpose: Annotated[
        str, typer.Option("--transpose", metavar="INTERVAL", help="Move the piece: M2 up, -m3 down.")
    ] = "",
    voice_range: Annotated[
        str, typer.Option("--range", metavar="LOW:HIGH", help="Move it to where it suits a voice: C4:G5.")
    ] = "",
    instrument: Annotated[
        str, typer.Option("--instrument", metavar="NAME", help="For this instrument (longneck instruments lists them).")
    ] = "",
    signs: Annotated[Signs | None, typer.Option("--signs", help="In these signs.")] = None,
    letters: Annotated[
        Letters | None, typer.Option("--letters", help="What the chord letters are; without it the chords tell.")
    ] = None,
    keep: Annotated[
        Path | None,
        typer.Option("--keep", metavar="FILE", help="Take the places of this earlier text, as you changed it."),
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace a text in DIR that is not the same.")] = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
) -> None:
    """Write the player's tablature of every PATH for another key, another instrument, or both.

    Nothing is shifted: for each chord all courses and frets are weighed anew, with what the hand reaches
    and holds. The diapasons are tuned to what the basses need in the new key. Rhythm signs, bar lines,
    repeats, voices, words, basses, figures and notes are kept or moved along. What cannot be kept is a
    finding, with the places that it could have instead, and a note under its bar that the page prints.
    Chord letters are moved where the chords struck with them, or --letters, tell what they name.

    The new text lies under DIR, by the path of the piece. Play from it, change in it what you like
    better, and give it back with --keep when the piece itself has changed: your places are taken wherever
    they still sound right. A text in DIR that is not the same is replaced with --replace only.

    The search knows nothing of your strings: the texts say how the diapasons are tuned, and longneck
    programme which strings that moves. Ask a maker before you tune a string up.

    \b
    Examples:
        longneck refinger song.intav --transpose=-M2 --out lower
        longneck refinger book/ --instrument "archlute in G" --signs french --out archlute
    """
    preset = known_instrument(instrument)
    interval, voice = where_to(transpose, voice_range)
    if interval == UNISON and preset is None and signs is None and voice is None:
        refuse("say what to change: --transpose, --range, --instrument or --signs")
    folder_for(out)
    found = pieces_under(paths)
    wanted = Wanted(out, Wish(interval, preset, signs, letters, voice), kept_file(keep, found.pieces), replace)
    with crew(jobs, time_limit, memory_limit) as there:
        _end([_shown(done) for done in refinger_all(found.pieces, wanted, there)], found)


def _shown(done: Refingered) -> Refingered:
    target = console(sys.stdout)
    show_findings(target, done.diagnostics, {source.name: source for source in done.sources})
    if done.errors:
        say(f"{done.name}: {counted(done.errors, 'error')}; correct the piece first", err=True)
    if done.refused:
        say(f"longneck: --keep: {done.refused}", err=True)
    if done.occupied is not None:
        where = done.occupied.as_posix()
        say(f"longneck: {where} holds another text; --replace replaces it, --keep takes its places", err=True)
    if done.path is not None:
        tuned = f"  tune {', '.join(done.tunings)}" if done.tunings else ""
        say(f"{done.path.as_posix()}  written{tuned}")
    return done


def _end(done: Sequence[Refingered], asked: Found) -> None:
    unread = tuple(map(unread_finding, asked.unread))
    show_findings(console(sys.stdout), unread, {})
    faults = [one.fault for one in done if one.fault]
    for fault in faults:
        say_fault(fault)
    code = exit_code([*unread, *(found for one in done for found in one.diagnostics)], faulty=bool(faults))
    raise typer.Exit(code or (ERRORS if any(one.occupied or one.unfit or one.refused for one in done) else code))
