"""``longneck rehearse``."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, folder_for, pieces_under, slow, waits
from pipeline.cli.crews import MEGABYTES, SECONDS, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.moving import kept_file, known_instrument, where_to
from pipeline.cli.refusing import refuse
from pipeline.cli.reports import BaselineFile, Everything, ReportFiles, WriteBaseline, reporting
from pipeline.cli.running import run
from pipeline.desk.move.wish import Wish
from pipeline.folder.batch.refingering import kept_text
from pipeline.folder.batch.rehearsing import rehearse_all
from pipeline.model.chordletters import Letters
from pipeline.model.copy import Fullness
from pipeline.model.options import Options, Sheet
from pipeline.model.signs import Signs
from pipeline.rehearsal import FORMS, Setting


def rehearse(
    paths: Paths,
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the sets; created if missing.")] = Path(
        "rehearsal"
    ),
    transpose: Annotated[
        str, typer.Option("--transpose", metavar="INTERVAL", help="Move everything: M2 up, -m3 down.")
    ] = "",
    voice_range: Annotated[
        str, typer.Option("--range", metavar="LOW:HIGH", help="Move it to where it suits a voice: C4:G5.")
    ] = "",
    instrument: Annotated[
        str, typer.Option("--instrument", metavar="NAME", help="Tablature for this one (longneck instruments).")
    ] = "",
    signs: Annotated[Signs | None, typer.Option("--signs", help="Tablature in these signs.")] = None,
    letters: Annotated[
        Letters | None, typer.Option("--letters", help="What the chord letters are; without it the chords tell.")
    ] = None,
    keep: Annotated[
        Path | None,
        typer.Option("--keep", metavar="FILE", help="Take the places of this text by refinger, as you changed it."),
    ] = None,
    texture: Annotated[
        Fullness, typer.Option("--texture", case_sensitive=False, help="How full the copy's accompaniment is.")
    ] = Fullness.PLAYABLE,
    chord_names: Annotated[bool, typer.Option("--chord-names", help="Print chord names in the copy.")] = False,
    paper: Annotated[Sheet, typer.Option("--paper", case_sensitive=False, help="Paper size of the pages.")] = Sheet.A4,
    report: ReportFiles = None,
    baseline: BaselineFile = None,
    write_baseline: WriteBaseline = False,
    everything: Everything = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
) -> None:
    """Make the set for a rehearsal of every PATH, in one key: a folder for each person and a cover sheet.

    \b
    Each piece gets a folder of its own under DIR, named like its path without .intav:
        cover.html, .pdf  one page: keys, pitch, what to retune, what was decided
        singer/           the singer's copy (of a solo keyboard/, a reduction); practice.mid, of a solo in player/
        player/           the tablature, fingered anew in that key and for that instrument, large
        bass/             the bass with its figures: the one that is typed, or the bass as read
    Scores are written as PDF, SVG and MusicXML.

    A piece with errors gets no set, and never stops the others. Files of an earlier set are replaced;
    whatever else lies there stays. To change fingerings, write the tablature with longneck refinger,
    change it, and give it to --keep.

    The cover sheet knows nothing of your strings: ask a maker before you tune a string up.

    \b
    Examples:
        longneck rehearse song.intav --transpose=-M2
        longneck rehearse book/ --instrument "archlute in G" --signs french --out archlute
    """
    interval, voice = where_to(transpose, voice_range)
    wish = Wish(interval, known_instrument(instrument), signs, letters, voice)
    asked = reporting(report, baseline, write_baseline, everything)
    found = pieces_under(paths)
    folder_for(out)
    by_place = {piece.place: piece for piece in found.pieces}
    for piece in found.pieces:
        if by_place[piece.place] is not piece:
            refuse(f"two sets would lie in {(out / piece.place).as_posix()}; make them apart")
    options = Options(fullness=texture, chord_names=chord_names, paper=paper, forms=FORMS)
    setting = Setting(wish, options, kept_text(kept_file(keep, found.pieces)))
    with crew(jobs, time_limit, memory_limit) as there:
        done = rehearse_all(found.pieces, out, setting, there, partial(waits, out), slow)
        run(done, found, f"Sets in {out.as_posix()}/. ", asked)
