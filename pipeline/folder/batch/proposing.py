"""Probable misprints of many pieces, and those that the editor accepts, written into their files."""

from __future__ import annotations

import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.folder.batch.work import broken_down
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.files import (
    NoSuchPieceError,
    PieceFile,
    Texts,
    decoded,
    read_raw,
    read_texts,
    survey,
    write_source,
)
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText

if TYPE_CHECKING:
    from pipeline.desk.misprints.proposal import Proposal
    from pipeline.model.sounding import SoundingPiece


@dataclass(frozen=True, slots=True)
class Proposed:
    """What is proposed for one file, with the texts that it speaks of. ``diagnostics`` say why a file cannot be read
    (then nothing is proposed) or written; ``fault`` is the text of an internal fault, empty if there was none."""

    piece: PieceFile
    proposals: tuple[Proposal, ...]
    sources: tuple[SourceText, ...] = ()
    diagnostics: tuple[Diagnostic, ...] = ()
    fault: str = ""


def propose_all(pieces: Sequence[PieceFile]) -> Iterator[Proposed]:
    """The probable misprints of every piece, in order. Passages of the other pieces in its folder are evidence."""
    folders: dict[Path, list[tuple[Path, SoundingPiece]]] = {}
    return (_propose(piece, folders) for piece in pieces)


class UnknownProposalError(Exception):
    """A name that no proposal has, or more than one; the message says so."""


def accept_all(pieces: Sequence[PieceFile], names: Sequence[str], initials: str) -> tuple[Proposed, ...]:
    """Write the proposals of these names into their files, each file in one step, in the order of the pieces.

    ``initials`` are those of the editor whose note gives the reason (empty: the only one declared, else no note).
    Raises UnknownProposalError for a name that none or several of the pieces have, and NotAcceptedError for a
    proposal that cannot be written; no file is then changed.
    """
    offered = [found for found in propose_all(pieces) if found.proposals or found.diagnostics]
    chosen = [_chosen(offered, name) for name in dict.fromkeys(names)]
    texts = {
        found.piece.path: _accepted(found, [one for of, one in chosen if of is found], initials) for found, _ in chosen
    }
    done: list[Proposed] = []
    for found in offered:
        if found.piece.path in texts:
            mine = tuple(one for of, one in chosen if of is found)
            done.append(_written(found, mine, *texts[found.piece.path]))
    return tuple(done)


def _propose(piece: PieceFile, folders: dict[Path, list[tuple[Path, SoundingPiece]]]) -> Proposed:
    # Imported late: refusing files must not wait for the reading.
    from pipeline.desk.misprints.proposals import proposals_of  # noqa: PLC0415

    try:
        texts = read_texts(piece)
        if not texts.usable:
            return Proposed(piece, (), texts.sources, texts.diagnostics)
        sounding = _sounding(texts)
        folder = piece.path.resolve().parent
        if folder not in folders:
            folders[folder] = list(_pieces_in(folder))
        others = [other for path, other in folders[folder] if path != piece.path.resolve()]
        return Proposed(piece, proposals_of(texts.text.source, sounding, others), texts.sources)
    except Exception:
        made = broken_down(piece.name, traceback.format_exc())
        return Proposed(piece, (), (), made.diagnostics, made.fault)


def _sounding(texts: Texts) -> SoundingPiece:
    from pipeline.source.read import sounding_piece  # noqa: PLC0415  as above

    return sounding_piece(texts.text.source, texts.inherited).value


def _pieces_in(folder: Path) -> Iterator[tuple[Path, SoundingPiece]]:
    """The pieces of a folder itself, not of those below, that can be read."""
    try:
        found = survey([folder])
    except NoSuchPieceError:
        return
    for file in found.pieces:
        if file.path.resolve().parent == folder:
            texts = read_texts(file)
            if texts.usable:
                yield file.path.resolve(), _sounding(texts)


def _chosen(offered: Sequence[Proposed], name: str) -> tuple[Proposed, Proposal]:
    found = [(piece, one) for piece in offered for one in piece.proposals if one.id == name]
    if not found:
        raise UnknownProposalError(
            f"there is no proposal {name}: its bar may have changed, so list the proposals again"
        )
    if len(found) > 1:
        where = " and ".join(piece.piece.name for piece, _ in found)
        raise UnknownProposalError(f"{name} stands in {where}: name one of them")
    return found[0]


def _accepted(found: Proposed, chosen: Sequence[Proposal], initials: str) -> tuple[bytes, bytes]:
    """The file as it was read, and with the proposals written into it, from the end to the beginning."""
    from pipeline.desk.misprints.accepting import NotAcceptedError, accepted, initials_for  # noqa: PLC0415  as above

    texts = read_texts(found.piece)
    text, heads = texts.text, texts.inherited
    if not text.usable or text.source.text != found.sources[0].text:
        raise NotAcceptedError(f"{found.piece.name} has just been changed: list the proposals again")
    who = initials_for(_sounding(texts), initials)
    places = [one.suspicion.place for one in chosen]
    if len(set(places)) < len(places):
        raise NotAcceptedError("two of these proposals change the same place: choose one")
    changed = text.data.decode()
    for proposal in sorted(
        chosen, key=lambda one: one.suspicion.edits[0].span if one.suspicion.edits else one.suspicion.span, reverse=True
    ):
        changed = accepted(changed, heads, proposal, found.piece.name, who)
    return text.data, changed.encode()


def _written(found: Proposed, chosen: tuple[Proposal, ...], before: bytes, after: bytes) -> Proposed:
    piece = found.piece
    try:
        if decoded(read_raw(piece)).data != before:
            raise OSError(0, "it has just been changed by someone else")
        write_source(piece.path, after)
    except OSError as error:
        return Proposed(piece, (), found.sources, (cannot_write(piece.name, piece.path, error),))
    return Proposed(piece, chosen, found.sources)
