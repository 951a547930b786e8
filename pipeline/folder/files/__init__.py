"""Files in and out: finding pieces, reading them, the headings they inherit, writing whole or not at all."""

from pipeline.folder.files.finding import (
    HEADING,
    ROOT_SIGN,
    SUFFIX,
    NoSuchPieceError,
    PieceFile,
    collection_name,
    collection_of,
    discover,
    headings_above,
    tops_of,
)
from pipeline.folder.files.lock import sole_writer, write_source
from pipeline.folder.files.naming import Names
from pipeline.folder.files.reading import (
    MOST_BAD_LINES,
    RawFile,
    ReadFile,
    Texts,
    decoded,
    read_file,
    read_image,
    read_raw,
    read_texts,
    read_voice_file,
    reason,
)
from pipeline.folder.files.writing import (
    artefacts_in,
    clear_leftovers,
    write_artefacts,
    write_changed,
    write_whole,
)

__all__ = [
    "HEADING",
    "MOST_BAD_LINES",
    "ROOT_SIGN",
    "SUFFIX",
    "Names",
    "NoSuchPieceError",
    "PieceFile",
    "RawFile",
    "ReadFile",
    "Texts",
    "artefacts_in",
    "clear_leftovers",
    "collection_name",
    "collection_of",
    "decoded",
    "discover",
    "headings_above",
    "read_file",
    "read_image",
    "read_raw",
    "read_texts",
    "read_voice_file",
    "reason",
    "sole_writer",
    "tops_of",
    "write_artefacts",
    "write_changed",
    "write_source",
    "write_whole",
]
