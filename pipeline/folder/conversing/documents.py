"""The open texts of a conversation, what has been found in each, and what follows when one changes."""

from __future__ import annotations

import traceback
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.desk.converse.look import Look, heading_findings, joined, later, look_at
from pipeline.desk.converse.pitches import names
from pipeline.desk.converse.record import Insight
from pipeline.desk.converse.standing import still_standing
from pipeline.desk.converse.units import Paper
from pipeline.desk.misprints.proposal import Proposal
from pipeline.folder.batch.work import broken_down, collector_at_rest, texts_of
from pipeline.folder.conversing.texts import OpenTexts, Packed, is_heading
from pipeline.folder.conversing.work import Whole
from pipeline.folder.watching import headings_of, state_of
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText
from pipeline.source.read import Known


@dataclass(slots=True)
class Document:
    """One open text. ``revision`` counts its own changes and those of what it inherits; what was read of an earlier
    one is kept apart: ``read_at`` and ``proposed_at`` are the revisions that ``insight`` and ``proposals`` speak of.

    ``found`` are the findings to be shown now; ``whole`` says that they are those of a whole check. ``look`` is None
    for a text that makes no sense as text."""

    uri: str
    path: Path | None
    text: str
    version: int
    paper: Paper
    revision: int = 0
    looked_at: int = -1
    read_at: int = -1
    proposed_at: int = -1
    packed: Packed | None = None
    source: SourceText = field(default_factory=lambda: SourceText("", ()))
    look: Look | None = None
    found: tuple[Diagnostic, ...] = ()
    soon: tuple[Diagnostic, ...] = ()
    _later: tuple[Diagnostic, ...] = ()
    _later_on: SourceText = field(default_factory=lambda: SourceText("", ()))
    _insight: Insight | None = None
    _proposals: tuple[Proposal, ...] = ()
    #: What its files were like when it was looked at.
    states: dict[Path, object] = field(default_factory=dict)
    _known: Known = field(default_factory=Known)
    _names: tuple[bool, dict[str, str]] | None = None

    @property
    def whole(self) -> bool:
        return self.read_at == self.revision

    @property
    def is_heading(self) -> bool:
        return is_heading(self.path)

    @property
    def insight(self) -> Insight | None:
        """What the reading says of the text as it stands; None until it has been read."""
        return self._insight if self.whole else None

    @property
    def proposals(self) -> tuple[Proposal, ...]:
        """The probable misprints of the text as it stands; none until they have been looked for."""
        return self._proposals if self.proposed_at == self.revision else ()

    @property
    def names(self) -> dict[str, str]:
        """The names of the pitches, kept until the text or its reading changes."""
        if self.look is None:
            return {}
        if self._names is None or self._names[0] != self.whole:
            self._names = (self.whole, names(self.look, self.insight))
        return self._names[1]

    def touch(self) -> None:
        """The text, or what it inherits, has changed."""
        self.revision += 1

    def take_look(self, packed: Packed) -> None:
        """Read the signs of the text as it stands. A fault of the program is a finding, as in every run."""
        self.packed, self.looked_at, self._names = packed, self.revision, None
        headings, text, found = texts_of(packed.parcel)
        self.source = text.source
        if not all(read.usable for read in (text, *headings)):
            self.look, self.soon, self.found = None, found, found
            return
        heads = tuple(read.source for read in headings)
        try:
            with collector_at_rest():
                self.look = look_at(text.source, heads, found, self._known)
                self.soon = heading_findings(text.source, heads, found) if self.is_heading else self.look.found
        except Exception:
            self.look, self.soon = None, broken_down(packed.parcel.name, traceback.format_exc()).diagnostics
        self.found = joined(self.soon, still_standing(self._later, self._later_on, text.source))

    def take_whole(self, revision: int, whole: Whole) -> bool:
        """Take in a whole reading, unless the text has changed since; whether it was taken."""
        if revision != self.revision or self.looked_at != revision:
            return False
        self.read_at, self._insight, self._names = revision, whole.insight, None
        self.found = whole.diagnostics
        self._later, self._later_on = later(whole.diagnostics, self.soon), self.source
        return True

    def take_proposals(self, revision: int, proposals: tuple[Proposal, ...]) -> None:
        if revision == self.revision:
            self.proposed_at, self._proposals = revision, proposals


@dataclass(frozen=True, slots=True)
class Shown:
    """The findings to be shown in one file, in order of place; ``paper`` is its text, for positions in it."""

    path: Path | None
    uri: str
    version: int | None
    paper: Paper
    found: tuple[Diagnostic, ...]


@dataclass(slots=True)
class Conversation:
    """All open texts. No method waits or raises for what is typed."""

    documents: dict[str, Document] = field(default_factory=dict)
    _texts: OpenTexts = field(default_factory=OpenTexts)

    # --- what is told -----------------------------------------------------------------------------------------

    def opened(self, uri: str, path: Path | None, text: str, version: int) -> tuple[str, ...]:
        """A text is opened, or all of it is typed anew. Returns the texts that are to be looked at, itself first."""
        known = self.documents.get(uri)
        if known is None:
            self.documents[uri] = known = Document(uri, path, text, version, Paper(text))
        else:
            known.text, known.version, known.paper = text, version, Paper(text)
        known.touch()
        if path is not None:
            self._texts.put(path, _bytes(text))
        return (uri, *self._heirs(known))

    def closed(self, uri: str) -> tuple[str, ...]:
        """A text is closed; its file speaks again. Returns the texts that are to be looked at."""
        known = self.documents.pop(uri, None)
        if known is None:
            return ()
        if known.path is not None:
            self._texts.drop(known.path)
        return self._heirs(known)

    def changed_files(self) -> tuple[str, ...]:
        """The texts whose headings, notation files or images have changed on the disk since they were looked at."""
        touched = []
        for document in self.documents.values():
            if document.states != {path: state_of(path) for path in document.states}:
                document.touch()
                touched.append(document.uri)
        return tuple(touched)

    def _heirs(self, changed: Document) -> tuple[str, ...]:
        """The open pieces that inherit a heading, as touched by its change."""
        if not changed.is_heading or changed.path is None:
            return ()
        folder = changed.path.resolve().parent
        found = []
        for other in self.documents.values():
            if other is not changed and other.path is not None and other.path.resolve().is_relative_to(folder):
                other.touch()
                found.append(other.uri)
        return tuple(found)

    # --- what is answered -------------------------------------------------------------------------------------

    def looked_at(self, uri: str) -> Document | None:
        """An open text, its signs read as it stands."""
        document = self.documents.get(uri)
        if document is not None and document.looked_at != document.revision:
            above = headings_of(document.path.parent) if document.path is not None else ()
            states: dict[Path, object] = {path: state_of(path) for path in above}  # before they are read
            packed = self._texts.packed(document.path, _bytes(document.text))
            document.states = states | {path: state_of(path) for path in packed.named()}
            document.take_look(packed)
        return document

    def shown(self, document: Document) -> Iterator[Shown]:
        """The findings of a text, and those in the headings that it inherits, as all open pieces have them."""
        if not document.is_heading:
            own = tuple(one for one in document.found if one.span.file == document.source.name)
            yield Shown(document.path, document.uri, document.version, document.paper, own)
        elif document.path is not None:
            yield self._of_heading(document.path, document)
        packed = document.packed
        for path in packed.headings if packed is not None else ():
            yield self._of_heading(path, self._open(path))

    def _of_heading(self, path: Path, document: Document | None) -> Shown:
        """What is wrong with a heading by itself, where it is open, and what the open pieces find in it."""
        found: dict[Diagnostic, None] = dict.fromkeys(document.found if document is not None else ())
        text = document.text if document is not None else ""
        for other in self.documents.values():
            packed = other.packed
            if packed is None or path not in packed.headings:
                continue
            raw = packed.parcel.headings[packed.headings.index(path)]
            text = text or raw.data.decode(errors="replace")
            found |= dict.fromkeys(one for one in other.found if one.span.file == raw.name)
        paper = document.paper if document is not None else Paper(text)
        uri, version = (document.uri, document.version) if document is not None else ("", None)
        return Shown(path, uri, version, paper, tuple(sorted(found, key=lambda one: one.span)))

    def _open(self, path: Path) -> Document | None:
        wanted = path.resolve()
        known: Iterable[Document] = self.documents.values()
        return next((one for one in known if one.path is not None and one.path.resolve() == wanted), None)


def _bytes(text: str) -> bytes:
    """What a file of this text would hold. Half a surrogate pair is no character: its bytes are no UTF-8."""
    return text.encode("utf-8", "surrogatepass")
