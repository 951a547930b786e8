"""What was built before: told by content hashes, never by dates, and believed only when every byte agrees.

A hit is a SHA-256 over the names and bytes of text and headings, ``repr(options)``, the way to the index, and the
program: every file of the package and the versions of the libraries, but not the Python version, on which artefacts do
not depend. Files that the texts name are hashed one by one in the record. Then every artefact must have its recorded
hash, and no other artefact may be there. A new field of ``Options`` is in the key by itself; a new artefact needs its
row in ``model/artefacts.py``, or its piece is never kept; a new field of ``Diagnostic`` must be in ``findings.json``
and in ``findings/recorded.py``. A warm run loads neither numpy, verovio nor music21, and parses nothing.
"""

from pipeline.findings.recorded import NotFindingsError, read_findings
from pipeline.folder.cache.asked import UnknownOptionsError, options_read, options_told
from pipeline.folder.cache.program import program_hash, versions
from pipeline.folder.cache.record import (
    RECORD,
    Recalled,
    Record,
    fingerprint,
    hashes,
    inputs_hash,
    read_record,
    recalled,
    write_record,
)

__all__ = [
    "RECORD",
    "NotFindingsError",
    "Recalled",
    "Record",
    "UnknownOptionsError",
    "fingerprint",
    "hashes",
    "inputs_hash",
    "options_read",
    "options_told",
    "program_hash",
    "read_findings",
    "read_record",
    "recalled",
    "versions",
    "write_record",
]
