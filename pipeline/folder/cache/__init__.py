"""What was built before: told by content hashes, never by dates, and believed only when every byte agrees."""

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
