"""``longneck build``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, clear_gone, folder_for, pieces_under, slow, waits
from pipeline.cli.crews import MEGABYTES, SECONDS, Cluster, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.refusing import refuse
from pipeline.cli.reports import BaselineFile, Everything, ReportFiles, WriteBaseline, reporting
from pipeline.cli.running import run
from pipeline.folder.batch import Share, build_all
from pipeline.folder.batch.clearing import removed
from pipeline.folder.files import reason
from pipeline.model.artefacts import USUAL, Form
from pipeline.model.copy import Fullness
from pipeline.model.interval import Interval, Range, Refused, parse_interval, parse_ranges
from pipeline.model.options import STAFF_HEIGHTS, Keep, Options, Part, Sheet
from pipeline.model.record import replace
from pipeline.model.staves import Staves
from pipeline.model.tempo import FASTEST, SLOWEST


def build(
    paths: Paths,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder for the editions; created if missing.")
    ] = Path("out"),
    transpose: Annotated[
        str,
        typer.Option("--transpose", metavar="INTERVAL", help="Move singer's copy and practice file: M2 up, -m3 down."),
    ] = "",
    voice_range: Annotated[
        str,
        typer.Option("--range", metavar="LOW:HIGH", help="Move it to suit a voice, C4:G5, or each, C4:G5,C3:E4."),
    ] = "",
    texture: Annotated[
        Fullness, typer.Option("--texture", case_sensitive=False, help="How full the copy's accompaniment is.")
    ] = Fullness.PLAYABLE,
    chord_names: Annotated[bool, typer.Option("--chord-names", help="Print chord names in the copy.")] = False,
    staves: Annotated[
        Staves,
        typer.Option(
            "--staves",
            case_sensitive=False,
            help="What the edition prints: all, what the source has, notes only, the tablature alone.",
        ),
    ] = Staves.ALL,
    part: Annotated[
        Part,
        typer.Option("--part", case_sensitive=False, help="Also make a large part for the player, in these signs."),
    ] = Part.NONE,
    copy: Annotated[bool, typer.Option("--copy/--no-copy", help="Make the singer's copy.")] = True,
    midi: Annotated[bool, typer.Option("--midi", help="Also write a MIDI file to practise with.")] = False,
    tempo: Annotated[
        int | None,
        typer.Option("--tempo", metavar="N", min=SLOWEST, max=FASTEST, help="Its pace: N crotchets a minute."),
    ] = None,
    count_in: Annotated[bool, typer.Option("--count-in", help="Count a bar before it begins.")] = False,
    pdf: Annotated[bool, typer.Option("--pdf", help="Also write the pages as PDF.")] = False,
    paper: Annotated[Sheet, typer.Option("--paper", case_sensitive=False, help="Paper size of the pages.")] = Sheet.A4,
    staff_height: Annotated[
        float | None,
        typer.Option(
            "--staff-height",
            metavar="MM",
            min=STAFF_HEIGHTS[0],
            max=STAFF_HEIGHTS[1],
            help="Height of a staff of five lines in edition and copy; without it the pages are filled well.",
        ),
    ] = None,
    only: Annotated[
        list[Form] | None,
        typer.Option(
            "--only",
            metavar="FORM",
            case_sensitive=False,
            help=f"Make only this form: {', '.join(form.value for form in Form)}. Repeatable.",
        ),
    ] = None,
    proof: Annotated[bool, typer.Option("--proof/--no-proof", help="Make the proof pages.")] = True,
    misprints: Annotated[
        bool, typer.Option("--misprints", help="Also list probable misprints on the proof pages; takes longer.")
    ] = False,
    keep: Annotated[
        Keep,
        typer.Option(
            "--keep", case_sensitive=False, help="Keep all that is made, or of each piece its record and findings only."
        ),
    ] = Keep.ALL,
    clear: Annotated[
        bool, typer.Option("--clear-removed", help="Remove the editions of pieces that no longer exist.")
    ] = False,
    share: Annotated[
        str, typer.Option("--shard", metavar="I/N", help="Build only share I of N; longneck join makes one run of all.")
    ] = "",
    report: ReportFiles = None,
    baseline: BaselineFile = None,
    write_baseline: WriteBaseline = False,
    everything: Everything = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
    cluster: Cluster = None,
) -> None:
    """Build the edition of every PATH: a piece (*.intav), or a folder with all pieces under it.

    \b
    Each piece gets a folder of its own under DIR, named like its path without .intav:
        edition.musicxml    for a notation program
        edition.mei         for an archive
        edition-001.svg …   the pages, to read and to print
        part.*              with --part: the tablature alone, large, with cues and planned page turns
        reduction.*         the singer's copy: voice and words over two staves, no tablature
        practice.mid        with --midi: to practise with, in the key of the copy, repeats played, a click
        events.xml          every sign: where it is typed, what sounds, in which voice, how long
        critical-report.*   every reading where the edition is not simply the source, as a page and a table
        findings.json       every finding, for other programs
        proof.html          the pages beside the text, for a browser; DIR/index.html lists all pieces
        build.json          what it was made from: an unchanged piece is not built again

    With --keep records, build.json holds the hash of every file that was made, in place of the files:
    longneck verify holds a new build against it, and any build without it makes the files again.

    A piece with errors is still built as far as it can be read, and never stops the others. One that
    cannot be built at all keeps its earlier edition, and not-built.json beside it says why. The folder
    of a piece holds what the last build was asked for: forms that it did not make are removed. A piece
    inherits the heading.intav of its folder and of the folders above it, up to the one that holds
    .git.

    \b
    Examples:
        longneck build song.intav
        longneck build book/ --out editions
        longneck build song.intav --range C4:G5 --pdf --midi --tempo 60 --count-in
        longneck build book/ --only musicxml
        longneck build book/ --shard 1/4
        longneck build book/ --keep records
        longneck build song.intav --staves source
    """
    options = Options(
        staves=staves,
        part=part,
        copy=copy,
        fullness=texture,
        transpose=_interval(transpose) if transpose else None,
        voice_range=_range(voice_range) if voice_range else None,
        chord_names=chord_names,
        tempo=tempo,
        count_in=count_in,
        paper=paper,
        staff_height=staff_height,
        misprints=misprints,
        forms=_forms(only or (), midi=midi, pdf=pdf, proof=proof),
        keep=keep,
    )
    if transpose and voice_range:
        refuse("--transpose and --range both say where the copy goes; give one of them")
    if (transpose or voice_range) and not (copy or options.wants(Form.MIDI)):
        refuse("--no-copy leaves nothing that --transpose or --range could move; add --midi for a practice file")
    if (tempo is not None or count_in) and not options.wants(Form.MIDI):
        refuse(f"{'--count-in' if tempo is None else '--tempo'} is for the practice file; add --midi")
    asked = reporting(report, baseline, write_baseline, everything)
    number = _share(share) if share else None
    found = pieces_under(paths)
    folder_for(out)
    by_place = {piece.place: piece for piece in found.pieces}
    for piece in found.pieces:
        if by_place[piece.place] is not piece:
            refuse(f"two pieces would be built into {(out / piece.place).as_posix()}; build them apart")
    with crew(jobs, time_limit, memory_limit, cluster) as there:
        if clear:
            clear_gone(removed(out, paths, found), out)
        mine = Share.among(found, *number) if number else None
        done = build_all(found.pieces, out, options, there, partial(waits, out), slow, share=mine)
        if mine is not None:
            found = replace(found, pieces=mine.of_pieces(found.pieces))
        try:
            run(done, found, f"Built into {out.as_posix()}/. ", asked)
        except OSError as error:
            if found.pieces:
                raise
            refuse(f"{out.as_posix()} cannot be written: {reason(error)}")  # a share that no piece belongs to


def _forms(only: Sequence[Form], *, midi: bool, pdf: bool, proof: bool) -> tuple[Form, ...]:
    """The forms asked for: ``--only`` in place of the usual ones; --midi and --pdf add one, --no-proof
    takes one away."""
    if not proof and Form.PROOF in only:
        refuse("--only proof and --no-proof contradict each other; give one of them")
    added = {form for form, asked in ((Form.MIDI, midi), (Form.PDF, pdf)) if asked}
    wanted = {*(only or USUAL), *added} - ({Form.PROOF} if not proof else set())
    return tuple(form for form in Form if form in wanted)


def _share(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"([1-9]\d{0,5})/([1-9]\d{0,5})", text)
    if found is None or int(found[1]) > int(found[2]):
        refuse(f"--shard {text}: it is one of a number of shares, as 1/4 to 4/4")
    return int(found[1]), int(found[2])


def _interval(text: str) -> Interval:
    found = parse_interval(text)
    if isinstance(found, Refused):
        refuse(f"--transpose: {found.message}; {found.hint}")
    return found


def _range(text: str) -> tuple[Range, ...]:
    found = parse_ranges(text)
    if isinstance(found, Refused):
        refuse(f"--range: {found.message}; {found.hint}")
    return found
