"""The record of a build, beside its artefacts: what went in, what came out. Written last; any doubt means: build anew.

The record lies in the piece's own folder, so that folders can be moved, copied and published as they are.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.findings.recorded import NotFindingsError, read_findings
from pipeline.folder.files import opened, whole_of, write_whole
from pipeline.model.artefacts import FINDINGS, is_artefact
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.options import Keep, Options

RECORD = "build.json"
#: Raised when the form of the record changes.
FORM = 1
#: Bytes; a record of a thousand pages stays below.
LARGEST = 2**20

#: The end of the JSON without its seal, and what stands before and behind the seal.
_END, _SEAL, _SEALED = b"\n}\n", b',\n "seal": "', b'"\n}\n'


@dataclass(frozen=True, slots=True)
class Record:
    """``piece`` is the name of the source in its collection, ``inputs`` the hash of all that is known before reading
    it (texts, options, program), ``files`` the hash of each further file that it names, ``artefacts`` that of each
    file made; ``stored`` are those that lie beside it. ``title`` and ``warnings`` are repeated by a later run that
    builds nothing. ``options`` and ``versions`` (of the program and its libraries) say how it was built, for
    :mod:`pipeline.folder.verifying`."""

    piece: str
    inputs: str
    files: Mapping[str, str]
    artefacts: Mapping[str, str]
    title: str = ""
    warnings: tuple[str, ...] = ()
    options: Mapping[str, str] = field(default_factory=dict)
    versions: Mapping[str, str] = field(default_factory=dict)

    @property
    def light(self) -> bool:
        """True if what was made was not kept, but for the findings."""
        return self.options.get("keep") == Keep.RECORDS.value

    @property
    def stored(self) -> tuple[str, ...]:
        return (FINDINGS,) if self.light else tuple(self.artefacts)


@dataclass(frozen=True, slots=True)
class Recalled:
    """A build that still stands: its record, and what was found then."""

    record: Record
    diagnostics: tuple[Diagnostic, ...]


def fingerprint(data: bytes) -> str:
    """Hexadecimal SHA-256."""
    return hashlib.sha256(data).hexdigest()


def inputs_hash(texts: Iterable[tuple[str, str, bytes]], options: Options, program: str) -> str:
    """One hash for the texts of a piece, outermost heading first, each as (name, why it cannot be read, bytes), the
    options and the program. Every part is led by its length, so that no two lists of parts look alike."""
    digest = hashlib.sha256()
    for part in (program.encode(), repr(options).encode()):
        digest.update(b"%d:%b" % (len(part), part))
    for name, refused, data in texts:
        for part in (name.encode(errors="surrogateescape"), refused.encode(), data):
            digest.update(b"%d:" % len(part))
            digest.update(part)
    return digest.hexdigest()


def hashes(artefacts: Iterable[tuple[str, bytes]]) -> dict[str, str]:
    """The hash of each artefact by its name."""
    return {name: fingerprint(data) for name, data in artefacts}


def recalled(folder: Path, inputs: str, file_hash: Callable[[str], str]) -> Recalled | None:
    """The earlier build in a folder, if it was made from the same inputs and every artefact is still there, byte for
    byte, and none besides. ``file_hash`` gives the present hash of a file that the piece names. Never raises."""
    try:
        with opened(folder / RECORD) as stream:
            record = read_record(stream.read(LARGEST + 1))
        if record is None or record.inputs != inputs or FINDINGS not in record.artefacts:
            return None
        if any(file_hash(name) != known for name, known in record.files.items()):
            return None
        if {path.name for path in folder.iterdir() if is_artefact(path.name)} != set(record.stored):
            return None
        found = b""
        for name in record.stored:
            data = whole_of(folder / name)
            if fingerprint(data) != record.artefacts[name]:
                return None
            found = data if name == FINDINGS else found
        return Recalled(record, read_findings(found))
    except (OSError, NotFindingsError):
        return None


def write_record(folder: Path, record: Record) -> None:
    """Write the record; the artefacts must lie there already. Raises OSError."""
    write_whole(folder / RECORD, record_bytes(record))


def record_bytes(record: Record) -> bytes:
    """The record as JSON, sealed with a hash of itself. The same record gives the same bytes."""
    content = {
        "form": FORM,
        "piece": record.piece,
        "title": record.title,
        "inputs": record.inputs,
        "files": dict(sorted(record.files.items())),
        "artefacts": dict(sorted(record.artefacts.items())),
        "warnings": list(record.warnings),
        "options": dict(sorted(record.options.items())),
        "versions": dict(sorted(record.versions.items())),
    }
    whole = _json(content)
    return whole.removesuffix(_END) + _SEAL + fingerprint(whole).encode() + _SEALED


def read_record(data: bytes) -> Record | None:
    """The record in these bytes; None for anything that :func:`record_bytes` does not write."""
    try:
        body, _, seal = data.rpartition(_SEAL)
        if fingerprint(body + _END).encode() + _SEALED != seal:
            return None
        content = json.loads(body + _END)
        if content["form"] != FORM:
            return None
        record = Record(
            content["piece"],
            content["inputs"],
            content["files"],
            content["artefacts"],
            content["title"],
            tuple(content["warnings"]),
            content["options"],
            content["versions"],
        )
        return record if _well_formed(record) else None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def _json(content: object) -> bytes:
    return (json.dumps(content, indent=1, allow_nan=False) + "\n").encode()


def _well_formed(record: Record) -> bool:
    """True if every part has its type, and no name leads out of the folder."""
    texts = (record.piece, record.inputs, record.title, *record.warnings)
    told = (record.files, record.artefacts, record.options, record.versions)
    pairs = tuple(pair for texts in told for pair in texts.items())
    return all(isinstance(text, str) for text in (*texts, *(text for pair in pairs for text in pair))) and all(
        is_artefact(name) for name in record.artefacts
    )
