"""Names of files that hold on every machine."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pipeline.folder.files.finding import Found, collection_of
from pipeline.folder.files.opening import is_folder, may_exist


@dataclass(frozen=True, slots=True)
class Names:
    """Names from the top of a collection."""

    top: Path

    @classmethod
    def of(cls, found: Found) -> Names:
        """The collection of the first piece; where nothing marks one, the current folder."""
        known = [one.path.parent for one in found.pieces] or [one.path for one in found.unread]
        return cls(collection_of((known or [Path()])[0].resolve()) or Path.cwd().resolve())

    def name(self, shown: str) -> str:
        """The name of a file that findings show under a path from the current folder: its path from the top, with
        slashes; of a file elsewhere, its whole path."""
        file = Path(shown)
        whole = file.parent.resolve() / file.name
        inside = whole.relative_to(self.top) if whole.is_relative_to(self.top) else whole
        return inside.as_posix().encode(errors="replace").decode()

    def exists(self, name: str) -> bool:
        """True unless it is certain that there is no file of that name."""
        return may_exist(self.top / name) and not is_folder(self.top / name)
