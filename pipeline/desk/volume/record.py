"""What a volume is made of: pieces ready to be set, texts, and those that are missing."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from pipeline.desk.programme.sheet import ProgrammePiece
from pipeline.model.apparatus import Apparatus
from pipeline.model.book import Book
from pipeline.model.heading import Heading
from pipeline.model.layout import Strip


@dataclass(frozen=True, slots=True)
class Leaf:
    """One piece, ready to be set. ``place`` is its path from the folder of the book, without suffix, with ``/``.

    ``right`` and ``left`` are its pages as SVG, without numbers, to begin on a right-hand or on a left-hand page;
    ``strip`` is the piece as it shares a page with others, None where it is too long for that; ``incipit`` is an SVG
    of its first bars; ``first_line`` the first words that are sung, empty where none are."""

    place: str
    title: str
    heading: Heading
    tuning: ProgrammePiece
    apparatus: Apparatus
    right: tuple[str, ...]
    left: tuple[str, ...]
    strip: Strip | None
    incipit: str
    first_line: str = ""

    @property
    def key(self) -> str:
        """What links within the volume call it; nothing else in a volume is called so."""
        return f"/{self.place}"

    @property
    def folder(self) -> str:
        """The folder of the piece, from that of the book; empty for the book's own."""
        return self.place.rpartition("/")[0]


@dataclass(frozen=True, slots=True)
class Missing:
    """A piece that the volume lacks, and why. ``title`` is the name of its file where no title could be read."""

    place: str
    title: str
    why: str


class BlockKind(Enum):
    """What a block of a text is."""

    HEADING = "heading"
    PARAGRAPH = "paragraph"
    ITEM = "item"
    QUOTE = "quote"
    RULE = "rule"


@dataclass(frozen=True, slots=True)
class Run:
    """Words that look alike. ``href`` is the address that they lead to, empty for none."""

    text: str
    bold: bool = False
    italic: bool = False
    href: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """One block of a text. ``level`` of headings and items counts from 1; ``marker`` of an item is a bullet or its
    number, empty for what goes on in the item before."""

    kind: BlockKind
    runs: tuple[Run, ...] = ()
    level: int = 0
    marker: str = ""

    @property
    def text(self) -> str:
        return "".join(run.text for run in self.runs)


@dataclass(frozen=True, slots=True)
class Prose:
    """A text of the book. ``title`` is its first heading, or what the heading line calls it."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """Pieces under the title of a part; the title is empty for pieces that belong to none."""

    title: str
    leaves: tuple[Leaf, ...]
    missing: tuple[Missing, ...] = ()


@dataclass(frozen=True, slots=True)
class Volume:
    """The whole book, in order. ``heading`` is that of its folder: editors, edition, licence."""

    book: Book
    heading: Heading
    sections: tuple[Section, ...]
    introduction: Prose | None = None
    method: Prose | None = None

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        return tuple(leaf for section in self.sections for leaf in section.leaves)

    @property
    def missing(self) -> tuple[Missing, ...]:
        return tuple(one for section in self.sections for one in section.missing)
