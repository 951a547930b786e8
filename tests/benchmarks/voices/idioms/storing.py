"""Records to a file, one a line, compressed; the file appears whole or not at all."""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterable
from pathlib import Path

from tests.benchmarks.voices.idioms.written import Record


def store(path: Path, records: Iterable[Record]) -> int:
    """Writes ``records`` to ``path`` and gives their number; same records, same bytes."""
    partial = path.with_name(path.name + ".partial")
    count = 0
    with partial.open("wb") as raw, gzip.GzipFile(filename="", mode="wb", fileobj=raw, mtime=0) as packed:
        for record in records:
            packed.write(json.dumps(record, separators=(",", ":"), ensure_ascii=False).encode() + b"\n")
            count += 1
    partial.replace(path)
    return count
