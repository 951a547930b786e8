"""Names of files that hold on every machine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.folder.files.finding import PieceFile, collection_of


@dataclass(frozen=True, slots=True)
class Names:
    """Names from the top of a collection."""

    top: Path

    @classmethod
    def of(cls, pieces: Sequence[PieceFile]) -> Names:
        """The collection of the first piece; where nothing marks one, the current folder."""
        here = Path.cwd().resolve()
        return cls(collection_of(pieces[0].path.parent.resolve()) or here if pieces else here)

    def name(self, shown: str) -> str:
        """The name of a file that findings show under a path from the current folder: its path from the top, with
        slashes; of a file elsewhere, its whole path."""
        file = Path(shown)
        whole = file.parent.resolve() / file.name
        inside = whole.relative_to(self.top) if whole.is_relative_to(self.top) else whole
        return inside.as_posix().encode(errors="replace").decode()

    def exists(self, name: str) -> bool:
        """True if there is a file of that name."""
        return (self.top / name).is_file()
