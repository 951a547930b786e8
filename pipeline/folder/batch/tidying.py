"""Files brought into their canonical layout, in place."""

from __future__ import annotations

import traceback
from collections.abc import Iterator, Sequence

from pipeline.folder.batch.jobs import Done, Job
from pipeline.folder.batch.work import broken_down
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.files import PieceFile, read_texts, write_source
from pipeline.model.record import replace
from pipeline.model.text import SourceText


def tidy_all(pieces: Sequence[PieceFile], write: bool) -> Iterator[Done]:
    """Every file in its canonical layout, written in place if ``write`` says so."""
    return (tidy_one(Job(piece), write) for piece in pieces)


def tidy_one(job: Job, write: bool) -> Done:
    """Bring one file into its canonical layout. Never raises: a fault of the program becomes one finding."""
    try:
        return _tidy(job.piece, write)
    except Exception:
        made = broken_down(job.piece.name, traceback.format_exc())
        return Done(job.piece.name, made.diagnostics, fault=made.fault)


def _tidy(piece: PieceFile, write: bool) -> Done:
    # Imported late: refusing files must not wait for the reading.
    from pipeline.source.encoding import write_encoding  # noqa: PLC0415
    from pipeline.source.parse import parse  # noqa: PLC0415

    texts = read_texts(piece)
    name, text, heads = piece.name, texts.text, texts.inherited
    if not texts.usable:
        return Done(name, texts.diagnostics, texts.sources)
    tidied = write_encoding(parse(text.source, heads).value)
    again = write_encoding(parse(SourceText.of(name, tidied), heads).value)
    if again != tidied:
        raise AssertionError(f"tidying {name} twice gives two texts; the file is left as it is")
    done = Done(name, (), texts.sources, changed=tidied.encode() != text.data)
    if not (done.changed and write):
        return done
    try:
        write_source(piece.path, tidied.encode())
    except OSError as error:
        return replace(done, diagnostics=(cannot_write(name, piece.path, error),), changed=False)
    return replace(done, written=(piece.path,))
