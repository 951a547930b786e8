"""The files of a run's tally on the disk: a large run finds more than anybody should hold in memory."""

from __future__ import annotations

import pickle
import tempfile
from array import array
from collections.abc import Iterator
from io import BytesIO
from typing import IO, Any

from pipeline.findings.codes import ALL
from pipeline.findings.tally import FileTally
from pipeline.model.diagnostics import Code


class Spool:
    """A list of them in a temporary file without a name, which the system takes away with the process. What is appended
    is written at once; what is asked for is read."""

    def __init__(self) -> None:
        self._file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115  it ends with the process
        self._starts = array("Q")
        self._end = 0

    def append(self, file: FileTally, /) -> None:
        """Raises OSError if the disk is full."""
        packed = BytesIO()
        _Pickler(packed, pickle.HIGHEST_PROTOCOL).dump(file)
        self._file.seek(self._end)
        self._file.write(packed.getbuffer())
        self._starts.append(self._end)
        self._end += len(packed.getbuffer())

    def __iter__(self) -> Iterator[FileTally]:
        return (self[place] for place in range(len(self._starts)))

    def __getitem__(self, place: int, /) -> FileTally:
        self._file.seek(self._starts[place])
        return _Unpickler(self._file).load()  # type: ignore[no-any-return]


class _Pickler(pickle.Pickler):
    """A kind of finding is written as its name."""

    def persistent_id(self, obj: Any) -> str | None:
        return obj.slug if isinstance(obj, Code) and ALL.get(obj.slug) is obj else None


class _Unpickler(pickle.Unpickler):
    def persistent_load(self, pid: Any) -> Code:
        return ALL[pid]
