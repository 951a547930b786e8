"""The command line: what is asked, and what is answered. No logic of its own.

Exit codes: 0 nothing wrong, 1 findings that are errors, 2 a question that makes no sense, 3 a fault of the program.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from pipeline.model.copy import Fullness
from pipeline.options import Sheet

# Everything else is imported where it is used: the help must not wait for Rich, let alone for music libraries.
if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from pipeline.batch import Done
    from pipeline.diagnostics import Diagnostic
    from pipeline.files import PieceFile
    from pipeline.model.interval import Interval
    from pipeline.model.pitch import SpelledPitch

CLEAN, ERRORS, USAGE, FAULT = 0, 1, 2, 3

app = typer.Typer(
    name="longneck",
    add_completion=False,
    no_args_is_help=True,
    # Plain help: half the time, the same in a pipe, and the layout of the texts below stays as typed.
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)

#: Not listed among the options: the texts of the commands say what a PATH is.
Paths = Annotated[list[Path], typer.Argument(metavar="PATH", hidden=True, show_default=False)]


def _version(asked: bool) -> None:
    if asked:
        from pipeline import __version__  # noqa: PLC0415

        typer.echo(f"longneck {__version__}")
        raise typer.Exit(CLEAN)


@app.callback()
def longneck(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and end.")
    ] = False,
) -> None:
    """Make modern editions of theorbo and lute tablature.

    You type a page of tablature as plain text, one bar to a line, into a file whose name ends in
    .intav. longneck reads it, tells you by line and column what cannot be right, and makes a score:
    the tablature as printed above two staves of what sounds.

    \b
    A first piece, saved as piece.intav:
        longneck 1
        title My first piece
        instrument theorbo in A
        metre C

    \b
        | 2=X,4:2,3:3 4=3:5 3:3
        | 1=7,4:0,3:0 |||

    \b
    Then:
        longneck check piece.intav          what cannot be right?
        longneck build piece.intav          the edition, into out/piece/
        longneck explain bar-too-short      what does a finding mean?

    Exit codes: 0 nothing wrong, 1 findings that are errors, 2 wrong usage, 3 a fault of the program.
    """


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
    copy: Annotated[bool, typer.Option("--copy/--no-copy", help="Make the singer's copy at all.")] = True,
    midi: Annotated[bool, typer.Option("--midi", help="Also a MIDI file to practise with.")] = False,
    pdf: Annotated[bool, typer.Option("--pdf", help="Also the pages as PDF.")] = False,
    paper: Annotated[Sheet, typer.Option("--paper", help="The paper of the PDF files.")] = Sheet.A4,
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
        midi=midi,
        pdf=paper if pdf else None,
    )
    if transpose and voice_range:
        _refuse("--transpose and --range both say where the copy goes; give one of them")
    pieces = _pieces(paths)
    if out.exists() and not out.is_dir():
        _refuse(f"--out {out.as_posix()} is a file, not a folder")
    by_place = {piece.place: piece for piece in pieces}
    for piece in pieces:
        if by_place[piece.place] is not piece:
            _refuse(f"two pieces would be built into {(out / piece.place).as_posix()}; build them apart")
    _run(build_all(pieces, out, options), pieces, f"Built into {out.as_posix()}/. ")


@app.command(short_help="Say what cannot be right, by line and column.")
def check(paths: Paths) -> None:
    """Check every PATH, a piece (*.intav) or a folder with all pieces under it, without building.

    Each finding has a place (file:line:column), a severity and a name; "longneck explain NAME" says
    more. Errors make the exit code 1; warnings and notes do not.

    \b
    Examples:
        longneck check song.intav
        longneck check book/
    """
    from pipeline.batch import check_all  # noqa: PLC0415

    pieces = _pieces(paths)
    _run(check_all(pieces), pieces, "")


@app.command(short_help="Bring pieces into their canonical layout.")
def tidy(
    paths: Paths,
    check: Annotated[
        bool, typer.Option("--check", help="Write nothing; the exit code is 1 if a file is not tidy.")
    ] = False,
) -> None:
    """Bring every PATH, a piece (*.intav) or a folder of pieces, into the canonical layout.

    Files are changed in place; headings of folders (heading.intav) too. Only the layout changes, never
    the meaning, and tidying twice changes nothing: one space between words, the stops of a chord from
    the highest number to course 1, marks and lines of a bar in their order. Words that cannot be read
    stay as they are. The names of the files that change are shown.

    \b
    Examples:
        longneck tidy song.intav
        longneck tidy --check book/
    """
    from pipeline.batch import tidy_all  # noqa: PLC0415
    from pipeline.report import console, show_findings  # noqa: PLC0415

    target = console(sys.stdout)
    found: list[Diagnostic] = []
    faults: list[str] = []
    untidy = False
    for file in tidy_all(_pieces(paths, headings=True), write=not check):
        show_findings(target, file.diagnostics, {source.name: source for source in file.sources})
        found.extend(file.diagnostics)
        faults.extend([file.fault] if file.fault else [])
        if file.changed:
            untidy = True
            typer.echo(f"{file.name}  {'not tidy' if check else 'tidied'}")
    for fault in faults:
        typer.echo(fault, err=True)
    code = _exit_code(found, faulty=bool(faults))
    raise typer.Exit(ERRORS if check and untidy and code == CLEAN else code)


@app.command(short_help="Explain a finding, or list them all.")
def explain(
    code: Annotated[str, typer.Argument(metavar="CODE", hidden=True, show_default=False)] = "",
) -> None:
    """Explain a finding: why it matters, a faulty example and how to mend it.

    CODE is its name, as it stands behind the severity. Without it, all findings are listed.

    \b
    Examples:
        longneck explain
        longneck explain fretted-diapason
    """
    from pipeline.report import console  # noqa: PLC0415
    from pipeline.report.explain import UnknownCodeError, explanation, overview  # noqa: PLC0415

    target = console(sys.stdout)
    try:
        lines = explanation(code) if code else overview()
    except UnknownCodeError as error:
        _refuse(str(error))
    for line in lines:
        target.print(line, soft_wrap=True)


@app.command(short_help="List the instruments that a heading can name.")
def instruments() -> None:
    """List the instruments that a heading can name, with the pitches of their courses.

    Any of them can be changed in the heading, course by course; one that is not listed is declared in the
    same way from the first course to the last.

    \b
    In a heading:
        instrument theorbo in A
        diapasons 8 = F#2, 11 = C#2
        course 7 = G2+G3
    """
    from pipeline.report import console  # noqa: PLC0415
    from pipeline.report.instruments import instrument_list  # noqa: PLC0415

    target = console(sys.stdout)
    for line in instrument_list():
        target.print(line, soft_wrap=True)


# --- running -------------------------------------------------------------------------------------------


def _pieces(paths: Sequence[Path], *, headings: bool = False) -> tuple[PieceFile, ...]:
    from pipeline.files import SUFFIX, NoSuchPieceError, discover  # noqa: PLC0415

    try:
        pieces = discover(paths, headings=headings)
    except NoSuchPieceError as error:
        _refuse(str(error))
    if not pieces:
        _refuse(f"no pieces (*{SUFFIX}) in {', '.join(path.as_posix() for path in paths)}")
    return pieces


def _interval(text: str) -> Interval:
    from pipeline.model.interval import Refused, parse_interval  # noqa: PLC0415

    found = parse_interval(text)
    if isinstance(found, Refused):
        _refuse(f"--transpose: {found.message}; {found.hint}")
    return found


def _range(text: str) -> tuple[SpelledPitch, SpelledPitch]:
    from pipeline.model.interval import Refused, parse_range  # noqa: PLC0415

    found = parse_range(text)
    if isinstance(found, Refused):
        _refuse(f"--range: {found.message}; {found.hint}")
    return found


def _refuse(message: str) -> NoReturn:
    typer.echo(f"longneck: {message}", err=True)
    raise typer.Exit(USAGE)


def _run(done: Iterator[Done], pieces: Sequence[PieceFile], said_first: str) -> None:
    """Show the findings of each piece as it is done, a summary at a terminal, and end with the exit code."""
    from pipeline.report import console, show_findings, summary  # noqa: PLC0415
    from pipeline.report.progress import watched  # noqa: PLC0415

    target = console(sys.stdout)
    found: list[Diagnostic] = []
    shown: set[Diagnostic] = set()
    faults: list[str] = []
    for piece in watched(done, len(pieces), target):
        sources = {source.name: source for source in piece.sources}
        # A folder's heading is read with every piece under it; what is wrong in it is said once.
        fresh = [finding for finding in piece.diagnostics if finding not in shown]
        shown.update(finding for finding in fresh if finding.span.file != piece.name)
        show_findings(target, fresh, sources)
        found.extend(fresh)
        for warning in piece.warnings:
            typer.echo(f"{piece.name}: the engraver says: {warning}", err=True)
        if piece.fault:
            faults.append(piece.fault)
    if target.is_terminal:
        target.print(f"{said_first}{summary(len(pieces), found)}")
    for fault in faults:
        typer.echo(fault, err=True)
    raise typer.Exit(_exit_code(found, faulty=bool(faults)))


def _exit_code(found: Sequence[Diagnostic], *, faulty: bool) -> int:
    from pipeline.diagnostics import Severity  # noqa: PLC0415

    if faulty:
        return FAULT
    return ERRORS if any(finding.severity is Severity.ERROR for finding in found) else CLEAN


def main() -> None:
    """Entry point of the command ``longneck``."""
    try:
        app()
    except Exception:  # whatever breaks outside of a piece
        import traceback  # noqa: PLC0415

        traceback.print_exc()
        sys.exit(FAULT)
