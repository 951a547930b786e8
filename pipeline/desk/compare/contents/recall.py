"""The content of a piece read back from ``events.xml``, and its findings from ``findings.json``.

What another build, or another hand, has left may hold anything: it is opened by a parser that fetches nothing and
unfolds nothing, and whatever is not as it should be is told as one error.
"""

from __future__ import annotations

import json
from bisect import bisect_right
from collections.abc import Iterator

from lxml import etree

from pipeline.desk.compare.content import (
    BarContent,
    ChordContent,
    DirectiveContent,
    EventContent,
    FindingContent,
    PieceContent,
)
from pipeline.desk.compare.contents.elements import Document, word_edited
from pipeline.desk.compare.contents.headings import whole_readings
from pipeline.desk.compare.contents.heads import described_heading
from pipeline.desk.compare.contents.names import Tag, opens_bar, strings, ticks
from pipeline.model.signs import Signs
from pipeline.model.tablature import BarKind, DirectiveKind
from pipeline.model.time import Ticks

#: The form of the events document that is read.
FORM = "1"


class NotEventsError(ValueError):
    """The bytes are no events document of this form; the message says why, to go on behind "it"."""


class NotFindingsError(ValueError):
    """The bytes are no findings of this form; the message as above."""


def recall_content(data: bytes) -> PieceContent:
    """The content that an events document holds. Raises NotEventsError. Linear time."""
    try:
        root = _opened(data)
        if root.tag != Tag.EVENTS or root.get("form") != FORM:
            raise NotEventsError("is not an events document of this form")
        return _Recall(root).piece()
    except NotEventsError:
        raise
    except etree.XMLSyntaxError as error:
        raise NotEventsError(f"is not well-formed XML (line {error.lineno})") from error
    except (ValueError, TypeError, AttributeError, LookupError, ArithmeticError, RecursionError) as error:
        raise NotEventsError("does not hold what an events document must hold") from error


def _opened(data: bytes) -> etree._Element:
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False,
        remove_pis=True, remove_comments=True,
    )  # fmt: skip
    root = etree.fromstring(data, parser)
    if root.getroottree().docinfo.internalDTD is not None:
        raise NotEventsError("has a document type, which no events document has")
    return root


def recall_findings(data: bytes) -> tuple[FindingContent, ...]:
    """The findings that a build kept. Raises NotFindingsError."""
    try:
        document = json.loads(data)
        own = document["piece"]
        return tuple(
            FindingContent(
                str(one["code"]),
                str(one["severity"]),
                str(one["message"]),
                int(one["place"]["line"]) if one["place"]["file"] == own else 0,
            )
            for one in document["findings"]
        )
    except (ValueError, TypeError, AttributeError, LookupError, ArithmeticError, RecursionError) as error:
        raise NotFindingsError("is not a list of findings") from error


class _Recall:
    """One document, walked through once."""

    def __init__(self, root: etree._Element) -> None:
        self.root = root
        heading = root.find(Tag.HEADING)
        readings = root.find(Tag.READINGS)
        if heading is None or readings is None:
            raise NotEventsError("has no heading or no readings")
        self.heading, self.readings = heading, readings
        song = root.find(Tag.SONG)
        self.song = song if song is not None else root.makeelement(Tag.SONG)
        self.lines = self.song.findall(Tag.LINE)
        from_file = frozenset(line.get("name", "") for line in self.lines if line.get("from"))
        self.document = Document(root.get("file", ""), heading, readings, from_file)

    def piece(self) -> PieceContent:
        instrument = self.heading.find(Tag.INSTRUMENT)
        if instrument is None:
            raise NotEventsError("has no instrument")
        bars, closing = self._bars(strings(instrument))
        return PieceContent(
            described_heading(self.heading, instrument, self.lines),
            bars,
            closing,
            self._whole(),
            Signs(self.heading.get("signs")),
            int(instrument.get("stopped", "0")),
        )

    def _whole(self) -> tuple[tuple[str, str], ...]:
        habit = self.readings.find(Tag.HABIT)
        return whole_readings(
            self.readings.get("voices", ""),
            self.readings.get("fifths", ""),
            self.readings.get("key-found") == "yes",
            habit.get("found", "") if habit is not None else "",
            self.readings.findtext(Tag.METHOD) or "",
        )

    # --- bars ----------------------------------------------------------------------------------------

    def _bars(self, tuning: tuple[str, ...]) -> tuple[tuple[BarContent, ...], tuple[DirectiveContent, ...]]:
        sung, chords = self._sung(), self._chords()
        bars: list[BarContent] = []
        waiting: list[DirectiveContent] = []
        for child in self.root:
            if child.tag == Tag.DIRECTIVE:
                waiting.append(self.document.directive(child))
            elif child.tag == Tag.BAR:
                retuned = child.find(Tag.INSTRUMENT)
                tuning = strings(retuned) if retuned is not None else tuning
                number = len(bars)
                bars.append(self._bar(child, waiting, tuning, number, sung.get(number, {}), chords.get(number, [])))
                waiting = []
        return tuple(bars), tuple(waiting)

    def _bar(
        self,
        bar: etree._Element,
        directives: list[DirectiveContent],
        tuning: tuple[str, ...],
        number: int,
        sung: dict[str, list[etree._Element]],
        chords: list[etree._Element],
    ) -> BarContent:
        notes = self.document.notes_of(bar)
        children = [child for child in bar if child.tag in Tag.ITEMS]
        if any(line.kind is DirectiveKind.OPENS and opens_bar(line.text) for line in directives):
            children.pop(0)
        closing = self.document.barline(children.pop(), notes)
        items = tuple(self.document.items(children, notes))
        ditto = bar.get("ditto", "")
        layers = tuple((name, tuple(self.document.sung(line, name, notes))) for name, line in sung.items())
        return BarContent(
            BarKind[bar.get("kind", "").upper()],
            tuple(directives),
            tuple(item for item in items if not isinstance(item, EventContent)) if ditto else items,
            closing,
            ditto,
            tuple(self.document.variant(child) for child in bar.iterfind(Tag.VARIANT)),
            notes.rest(),
            layers,
            tuple(self._chord(chord, bar, sung) for chord in chords),
            tuple(item for item in items if isinstance(item, EventContent)) if ditto else (),
            number,
            bar.get("label", ""),
            tuning,
            _breaks(bar, children),
            self.document.span(bar),
        )

    # --- layers --------------------------------------------------------------------------------------

    def _sung(self) -> dict[int, dict[str, list[etree._Element]]]:
        found: dict[int, dict[str, list[etree._Element]]] = {}
        for line in self.lines:
            name = line.get("name", "")
            for note in line:
                found.setdefault(int(note.get("bar", "")) - 1, {}).setdefault(name, []).append(note)
        return found

    def _chords(self) -> dict[int, list[etree._Element]]:
        onsets: list[Ticks] = [ticks(bar.get("onset")) for bar in self.root.iterfind(Tag.BAR)]
        found: dict[int, list[etree._Element]] = {}
        for chord in self.song.iterfind(Tag.CHORD):
            found.setdefault(max(bisect_right(onsets, ticks(chord.get("onset"))) - 1, 0), []).append(chord)
        return found

    def _chord(self, chord: etree._Element, bar: etree._Element, sung: dict[str, list[etree._Element]]) -> ChordContent:
        over, onset = chord.get("over", ""), chord.get("onset")
        beside = sung.get(over, ()) if over else bar.iterfind(Tag.EVENT)
        onsets = [note.get("onset") for note in beside]
        at = onsets.index(onset) + 1 if onset in onsets else 0
        return ChordContent(over, at, chord.text or "", self.document.span(chord), *word_edited(chord))


def _breaks(bar: etree._Element, items: list[etree._Element]) -> tuple[str, ...]:
    def names() -> Iterator[str]:
        yield from (folio.get("name", "") for folio in bar.iterfind(Tag.FOLIO))
        yield from (item.get("folio", "") for item in items[1:] if item.tag == Tag.BREAK)

    return tuple(names())
