"""Sung parts and a figured bass: notes, ties, words, figures, chord letters."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from pipeline.model.signs import Act
from pipeline.model.tablature import NoteKind
from pipeline.model.time import Value
from pipeline.source.exchange.drafts import BarDraft, PieceDraft, Remark
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.lines import LineWriter, SungDraft, syllable
from pipeline.source.exchange.musicxml.definition import Part, key_typed
from pipeline.source.exchange.musicxml.tree import (
    Element,
    Measure,
    measures,
    note_pitch,
    ratio_of,
    text,
    value_of,
    whole,
)
from pipeline.source.exchange.musicxml.words import CHORD, said_over
from pipeline.source.exchange.readings import group_of

_PREFIXES = {"sharp": "#", "flat": "b", "natural": "n", "double-sharp": "#", "double-flat": "b", "slash": ""}
_KINDS = {
    "major": "", "minor": "m", "dominant": "7", "major-seventh": "maj7", "minor-seventh": "m7", "diminished": "dim",
    "augmented": "aug", "suspended-fourth": "sus4", "power": "5",
}  # fmt: skip


class SungReader:
    """One sung part; read measure by measure beside the tablature."""

    def __init__(self, part: Part, piece: PieceDraft, ledger: Ledger) -> None:
        self._part = part
        self._piece = piece
        self._ledger = ledger
        first = part.element.find("measure/attributes")
        fifths = key_typed(first)[1] if first is not None else None
        self._writer = LineWriter(part.name, fifths or 0)
        self._measures = list(measures(part.element, ""))
        piece.layers.append((part.name, self._declared(first, fifths or 0)))
        self._open: dict[int, bool] = {}

    def _declared(self, attributes: Element | None, fifths: int) -> str:
        plain = " ".join(self._part.title.replace(",", " ").replace(";", " ").split())
        title = plain or ("Bass" if self._part.name == "b" else "Voice")
        clef = attributes.find("clef") if attributes is not None else None
        sign, line = text(clef, "sign").upper(), whole(text(clef, "line"), 5)
        if sign not in ("G", "C", "F") or not line:
            sign, line = ("F", 4) if self._part.name == "b" else ("G", 2)
        octave = {"-1": "_8", "1": "^8"}.get(text(clef, "clef-octave-change"), "")
        signed = "" if not fifths else f", {abs(fifths)} {'flat' if fifths < 0 else 'sharp'}{'s' * (abs(fifths) > 1)}"
        return f"{title}, clef {sign}{line}{octave}{signed}"

    def read(self, index: int, bar: BarDraft) -> None:
        """What the part has in the measure of this index."""
        if index >= len(self._measures):
            return
        measure = self._measures[index]
        notes: list[SungDraft] = []
        onsets = sorted(measure.moments)
        ends = dict(pairwise(onsets))
        letters: list[tuple[Fraction, str]] = []
        for moment in measure.ordered():
            for each in moment.before:
                if each.tag == "figured-bass":
                    continue
                said = self._letter(each, moment.onset, bar)
                if said:
                    letters.append((moment.onset, said))
            sounding = [note for note in moment.notes if note.find("grace") is None]
            if len(sounding) < len(moment.notes):
                self._lose("small notes of a sung line", moment.notes[0], bar)
            if len(sounding) > 1:
                self._lose("further notes at one time of a sung line", sounding[1], bar)
            if sounding:
                self._note(sounding[0], moment.onset, measure, ends, notes)
        self._figures(measure, notes, bar)
        chords = dict(reversed(letters))
        bar.layers.extend(
            self._writer.lines(notes, [chords.get(note.onset, "-") for note in notes], ratio=self._piece.ratio)
        )

    def _note(
        self, note: Element, onset: Fraction, measure: Measure, ends: dict[Fraction, Fraction], notes: list[SungDraft]
    ) -> None:
        if note.find("rest[@measure='yes']") is not None:
            return
        value = value_of(note) or Value(4)
        length = ends.get(onset, measure.length) - onset
        draft = SungDraft(value, onset, length, note_pitch(note) if note.find("rest") is None else None)
        draft.shown = note.find("accidental") is not None and note.find("accidental[@cautionary='yes']") is None
        draft.joined = note.find("tie[@type='stop']") is not None
        draft.fermata = note.find("notations/fermata") is not None
        levels = [text(level) for level in note.iterfind("level")]
        if any("supplied" in level for level in levels):
            draft.act = Act.ADDED
        draft.doubtful = any("doubtful" in level for level in levels)
        ratio = ratio_of(note)
        if ratio is not None and note.find("notations/tuplet[@type='start']") is not None:
            draft.group = group_of(*ratio)
        for lyric in note.iterfind("lyric"):
            self._lyric(lyric, draft)
        notes.append(draft)

    @staticmethod
    def _lyric(lyric: Element, draft: SungDraft) -> None:
        stanza = whole(lyric.get("number") or "1", 9) or 1
        kinds = [text(each) for each in lyric.iterfind("syllabic")]
        on = bool(kinds) and kinds[-1] in ("begin", "middle")
        said = syllable([text(each) for each in lyric.iterfind("text")], on)
        if said:
            draft.words[stanza] = said
            extend = lyric.find("extend")
            draft.goes_on[stanza] = on or (extend is not None and extend.get("type") != "stop")

    # --- letters and figures ------------------------------------------------------------------------------

    def _letter(self, element: Element, onset: Fraction, bar: BarDraft) -> str:
        if element.tag == "harmony":
            return harmony_letter(element)
        words = element.find("direction-type/words")
        said = text(words)
        if words is not None and CHORD.fullmatch(said) and not words.attrib:
            return said
        if words is None or not said or words.get("enclosure") in ("circle", "oval"):
            return ""
        if words.get("font-weight") == "bold" and onset == 0:
            bar.before.append(said_over(words, said))
        else:
            bar.remarks.append(Remark(NoteKind.PRINTED_WORD, said))
        return ""

    def _figures(self, measure: Measure, notes: list[SungDraft], bar: BarDraft) -> None:
        """Columns stand before the note that they begin with; several share its time by their durations."""
        for note in notes:
            moment = measure.moments.get(note.onset)
            for place, figured in enumerate(moment.before if moment is not None else ()):
                if figured.tag != "figured-bass":
                    continue
                rows = tuple(filter(None, (_figure(each) for each in figured.iterfind("figure"))))
                if rows:
                    note.figures.append((Fraction(place), rows))
                else:
                    self._lose("figures that cannot be typed", figured, bar)

    def _lose(self, what: str, element: Element, bar: BarDraft) -> None:
        self._ledger.lose(what, line_of(element), f"measure {bar.name}")


def _figure(element: Element) -> str:
    prefix = _PREFIXES.get(text(element, "prefix"), "") or _PREFIXES.get(text(element, "suffix"), "")
    said = text(element, "figure-number")
    number = said if whole(said, 99) else ""
    return f"{prefix}{number}"


def harmony_letter(element: Element) -> str:
    """The name of a chord: letter, accidental, kind, bass."""
    root = text(element, "root/root-step")
    if not root:
        return "".join(text(element, "function").split())
    sign = {"1": "#", "-1": "b"}.get(text(element, "root/root-alter"), "")
    kind = element.find("kind")
    shown = kind.get("text") if kind is not None and kind.get("text") else _KINDS.get(text(kind), text(kind))
    bass = text(element, "bass/bass-step")
    bass = f"/{bass}{({'1': '#', '-1': 'b'}).get(text(element, 'bass/bass-alter'), '')}" if bass else ""
    return "".join(f"{root}{sign}{shown}{bass}".split())
