"""``longneck propose``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from pipeline.cli.asked import Paths, from_top, pieces_under
from pipeline.cli.refusing import refuse
from pipeline.cli.running import exit_code
from pipeline.cli.saying import say, say_fault
from pipeline.cli.show import console, show_findings, show_lines
from pipeline.desk.misprints.accepting import NotAcceptedError
from pipeline.desk.misprints.listing import proposal_lines
from pipeline.folder.batch import Proposed, UnknownProposalError, accept_all, propose_all
from pipeline.folder.files import Found, unread_finding


def propose(
    paths: Paths,
    accept: Annotated[
        list[str] | None,
        typer.Option("--accept", metavar="ID", help="Write this proposal into its file. Repeatable."),
    ] = None,
    by: Annotated[
        str, typer.Option("--by", metavar="INITIALS", help="Initials of the editor who gives the reason.")
    ] = "",
) -> None:
    """List probable misprints in every PATH, a piece (*.intav) or a folder of pieces.

    For each suspicious place: the ways to correct it, the likeliest first, in the signs of the encoding,
    with the reasons. Looked for are a missing, wrong or superfluous rhythm sign, a missing or superfluous
    bar line, a figure one line off or confused (1/7, 3/5, 0/6), a diapason one off. Where another
    source of the same piece lies in the folder, in whatever key, signs or tuning, a note that differs
    is proposed where the music speaks for it. Listing changes nothing. Passages in other pieces of the
    same folder count as evidence. The editor decides: a surprise in the music may be intended.

    With --accept the proposal of that name is written into its file: the edition's reading beside the
    source's, as if you had typed it, and a note with the reasons by the editor whom the heading declares
    (--by where it declares several). Everything else in the file stays as it is. A name is valid as
    long as its bar does not change. A PATH that is not there is looked for from the top of the collection:
    the line that a proof page gives works in every folder of it.

    \b
    Examples:
        longneck propose book/
        longneck propose song.intav --accept k7m2q
    """
    found = pieces_under(from_top(paths))
    if accept:
        _accept(found, accept, by)
    if by:
        refuse("--by needs --accept")
    _list(found)


def _list(asked: Found) -> None:
    target = console(sys.stdout)
    done = []
    for found in propose_all(asked.pieces):
        done.append(found)
        show_findings(target, found.diagnostics, {source.name: source for source in found.sources})
        if found.proposals:
            show_lines(target, proposal_lines(found.proposals, found.sources[0]))
    if target.is_terminal and not any(found.proposals for found in done):
        show_lines(target, ["Nothing looks like a misprint."])
    _end(done, asked)


def _accept(asked: Found, names: Sequence[str], by: str) -> None:
    try:
        done = accept_all(asked.pieces, names, by)
    except (UnknownProposalError, NotAcceptedError) as error:
        refuse(str(error))
    target = console(sys.stdout)
    for found in done:
        show_findings(target, found.diagnostics, {source.name: source for source in found.sources})
        for proposal in found.proposals:
            suspicion = proposal.suspicion
            place = f"{found.piece.name}:{suspicion.span.line}"
            say(f"{place}  {proposal.id}  {suspicion.typed}  ->  {suspicion.proposed}")
    _end(done, asked)


def _end(done: Sequence[Proposed], asked: Found) -> None:
    unread = tuple(map(unread_finding, asked.unread))
    show_findings(console(sys.stdout), unread, {})
    faults = [found.fault for found in done if found.fault]
    for fault in faults:
        say_fault(fault)
    raise typer.Exit(exit_code([*unread, *(each for found in done for each in found.diagnostics)], faulty=bool(faults)))
