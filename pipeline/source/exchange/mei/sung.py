"""Sung staves and a figured bass: notes, ties, words, figures, chord letters."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from pipeline.model.layers import LayerKind, LayerLine
from pipeline.model.pitch import in_signature
from pipeline.model.record import replace
from pipeline.model.signs import Act, Group
from pipeline.model.tablature import DirectiveKind
from pipeline.model.time import WHOLE, Value
from pipeline.source.exchange.drafts import BarDraft, PieceDraft, Said
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.lines import LineWriter, SungDraft, syllable, word_line
from pipeline.source.exchange.mei.definition import Definition, Staff
from pipeline.source.exchange.mei.tree import (
    ID,
    Element,
    alter_of,
    children,
    decimal,
    first,
    inside,
    local,
    pitch_of,
    references,
    tuplet_ratio,
    value_of,
    whole,
    words,
)
from pipeline.source.exchange.readings import group_of

_FIGURES = str.maketrans({"♯": "#", "♭": "b", "♮": "n", "+": "#"})
_PASSED = frozenset({"clef", "keySig", "meterSig", "mSpace", "accid", "annot", "barLine", "lb", "sb", "pb"})


def signature_of(element: Element | None) -> int | None:
    """``keysig``: 1f is -1, 2s is 2; None where none is told."""
    if element is None:
        return None
    text = element.get("keysig") or element.get("key.sig") or ""
    for child in children(element, "keySig"):
        text = child.get("sig") or text
    if text == "0":
        return 0
    count = whole(text[:-1], 7)
    if count is None or text[-1:] not in "sf":
        return None
    return count if text.endswith("s") else -count


def layer_line(staff: Staff, incipit: Element | None) -> str:
    """A voice as the heading declares it: title, clef, signature; those of the source where an incipit has them."""
    title = " ".join(staff.label.replace(",", " ").replace(";", " ").split()) or (
        "Bass" if staff.name == "b" else "Voice"
    )
    definition = incipit if incipit is not None else staff.element
    clef = first(definition, "clef")
    shape = (clef.get("shape") if clef is not None else definition.get("clef.shape")) or "G"
    line = (clef.get("line") if clef is not None else definition.get("clef.line")) or {"F": "4"}.get(shape, "2")
    octave = ""
    if incipit is None and staff.element.get("clef.dis") == "8":
        octave = "_8" if staff.element.get("clef.dis.place") == "below" else "^8"
    fifths = signature_of(definition)
    if shape not in ("G", "C", "F") or whole(line, 5) in (None, 0):
        shape, line = "G", "2"
    signed = "" if not fifths else f", {abs(fifths)} {'flat' if fifths < 0 else 'sharp'}{'s' * (abs(fifths) > 1)}"
    return f"{title}, clef {shape}{line}{octave}{signed}"


def incipits(root: Element) -> dict[str, Element]:
    """The staff of each voice's incipit by the name of the voice."""
    found = {}
    for incipit in inside(root, "incip"):
        definition = next(inside(incipit, "staffDef"), None)
        if definition is not None and incipit.get("n"):
            found[incipit.get("n") or ""] = definition
    return found


class SungReader:
    """Reads the sung staves of one measure after another."""

    def __init__(self, piece: PieceDraft, definition: Definition, score: Element, ledger: Ledger) -> None:
        self._ledger = ledger
        self._piece = piece
        self._staves = {
            staff.number: staff for staff in (*definition.of("voice"), *definition.of("bass")) if staff.name
        }
        known = incipits(score.getroottree().getroot())
        self._writers: dict[str, LineWriter] = {}
        for number, staff in self._staves.items():
            piece.layers.append((staff.name, layer_line(staff, known.get(staff.name))))
            self._writers[number] = LineWriter(staff.name, signature_of(staff.element) or 0)
        self._fifths = {number: signature_of(staff.element) or 0 for number, staff in self._staves.items()}
        self._tied = {each for tie in inside(score, "tie") for each in references(tie, "endid")}
        self._held = {each for sign in inside(score, "fermata") for each in references(sign, "startid")}
        self._tab = definition.tab.number if definition.tab is not None else ""
        #: The ids of all notes that are sung or played beside the tablature.
        self.idents: set[str] = set()
        self._over_tab: list[str] = []
        self._notes: dict[str, list[SungDraft]] = {}
        self._chords: dict[str, list[tuple[Fraction, str]]] = {}

    def read(self, measure: Element, bar: BarDraft, unit: int, *, goes_on: bool) -> None:
        """What is sung in a measure; ``goes_on`` says that it is the rest of the bar before."""
        if not goes_on:
            self._notes, self._chords = {}, {}
        start = bar.length if goes_on else Fraction(0)
        for staff in children(measure, "staff"):
            number = staff.get("n") or ""
            if number not in self._staves:
                continue
            layers = list(children(staff, "layer"))
            for layer in layers[1:]:
                self._ledger.lose("further voices on a sung staff", line_of(layer), f"measure {bar.name}")
            for layer in layers[:1]:
                drafts = list(self._layer(layer, number, bar))
                onset = Fraction(0)
                for draft in drafts:
                    draft.onset, onset = onset, onset + draft.length
                    self.idents.add(draft.ident)
                self._notes.setdefault(number, []).extend(drafts)
        self._signs(measure, bar, unit, start)
        bar.layers = list(self._lines())

    def _lines(self) -> Iterator[LayerLine]:
        tab = self._chords.get(self._tab)
        if tab:
            yield word_line(LayerKind.CHORDS, "c", "", self._over_tab)
        for number in self._staves:
            notes = self._notes.get(number, [])
            chords = self._aligned(self._chords.get(number, []), [note.onset for note in notes])
            yield from self._writers[number].lines(notes, chords, ratio=self._piece.ratio)

    @staticmethod
    def _aligned(signs: list[tuple[Fraction, str]], onsets: list[Fraction]) -> list[str]:
        said = dict(reversed(signs))
        return [said.get(onset, "-") for onset in onsets]

    # --- notes --------------------------------------------------------------------------------------------

    def _layer(
        self, parent: Element, number: str, bar: BarDraft, ratio: Fraction = Fraction(1), group: Group | None = None
    ) -> Iterator[SungDraft]:
        for element in parent:
            name = local(element)
            if name == "note":
                yield from self._note(element, number, bar, ratio)
            elif name in ("rest", "space"):
                lasts = value_of(element) or Value(4)
                yield SungDraft(lasts, Fraction(0), Fraction(lasts.ticks, WHOLE) * ratio, None)
            elif name == "mRest":
                continue
            elif name == "tuplet":
                yield from self._tuplet(element, number, bar, ratio)
            elif name in ("beam", "supplied", "unclear", "corr", "lem", "reg", "add", "restore"):
                for draft in self._layer(element, number, bar, ratio):
                    if name == "supplied" and draft.act is Act.PRINTED:
                        draft.act = Act.ADDED
                    draft.doubtful = draft.doubtful or name == "unclear"
                    yield draft
            elif name in ("choice", "app"):
                yield from self._choice(element, number, bar, ratio)
            elif name and name not in _PASSED:
                self._ledger.lose(f"<{name}> in a sung line", line_of(element), f"measure {bar.name}")

    def _note(self, element: Element, number: str, bar: BarDraft, ratio: Fraction) -> Iterator[SungDraft]:
        lasts = value_of(element)
        if element.get("grace") or lasts is None:
            self._ledger.lose("small notes of a sung line", line_of(element), f"measure {bar.name}")
            return
        pitch = pitch_of(element)
        own = element.get(ID) or ""
        if pitch is not None and alter_of(element) is None:
            pitch = replace(pitch, alter=in_signature(pitch.step, self._fifths[number]))
        draft = SungDraft(lasts, Fraction(0), Fraction(lasts.ticks, WHOLE) * ratio, pitch, ident=own)
        draft.joined = own in self._tied or (element.get("tie") or "") in ("m", "t")
        draft.fermata = own in self._held or bool(element.get("fermata"))
        shown = [each.get("accid") for each in (element, *children(element, "accid")) if each.get("func") != "caution"]
        draft.shown = any(shown)
        for verse in children(element, "verse"):
            self._verse(verse, draft)
        alone = list(children(element, "syl"))
        if alone:
            self._syllables(alone, 1, draft)
        yield draft

    def _verse(self, verse: Element, draft: SungDraft) -> None:
        number = whole(verse.get("n"), 9) or 1
        self._syllables(list(children(verse, "syl")), number, draft)

    @staticmethod
    def _syllables(found: list[Element], number: int, draft: SungDraft) -> None:
        if not found:
            return
        last = found[-1]
        hyphen = last.get("con") == "d" or last.get("wordpos") in ("i", "m")
        text = syllable([words(each) for each in found], hyphen)
        if text:
            draft.words[number] = text
            draft.goes_on[number] = hyphen or last.get("con") in ("u", "b")

    def _tuplet(self, element: Element, number: str, bar: BarDraft, ratio: Fraction) -> Iterator[SungDraft]:
        numbers = tuplet_ratio(element)
        if numbers is None:
            yield from self._layer(element, number, bar, ratio)
            return
        notes, time = numbers
        drafts = list(self._layer(element, number, bar, ratio * Fraction(time, notes)))
        if drafts:
            drafts[0].group = group_of(notes, time)
        yield from drafts

    def _choice(self, element: Element, number: str, bar: BarDraft, ratio: Fraction) -> Iterator[SungDraft]:
        ours = next(children(element, "corr", "reg", "lem"), None)
        theirs = next(children(element, "sic", "orig"), None)
        kept = list(self._layer(ours, number, bar, ratio)) if ours is not None else []
        was = list(self._layer(theirs, number, bar, ratio)) if theirs is not None else []
        if len(kept) == len(was) == 1 and kept[0].pitch is not None and was[0].pitch is not None:
            kept[0].act, kept[0].source = Act.EMENDED, was[0].pitch
        elif was or local(element) == "app":
            self._ledger.lose("other readings of a sung line", line_of(element), f"measure {bar.name}")
        yield from kept

    # --- figures and letters ------------------------------------------------------------------------------

    def _signs(self, measure: Element, bar: BarDraft, unit: int, start: Fraction) -> None:
        for harm in children(measure, "harm"):
            stamp, number = decimal(harm.get("tstamp")), harm.get("staff") or ""
            figured = first(harm, "fb")
            pointed = references(harm, "startid")
            if stamp is None:
                stamp = self._stamp(pointed, unit)
            if stamp is None or "editorial" in (harm.get("type") or "").split():
                self._ledger.lose("harmonies without a place, or the editor's", line_of(harm), f"measure {bar.name}")
                continue
            onset = (stamp - 1) / unit
            if figured is not None:
                self._figures(figured, number, onset, bar)
            else:
                text = "".join(words(harm).split()).lstrip(";")
                self._chords.setdefault(number or self._tab, []).append((onset, text or "-"))
        if self._tab in self._chords:
            onsets = [event.onset for event in bar.events if not event.removed]
            self._over_tab = self._aligned(self._chords[self._tab], onsets)

    def _stamp(self, pointed: list[str], unit: int) -> Fraction | None:
        for notes in self._notes.values():
            for note in notes:
                if note.ident and note.ident in pointed:
                    return note.onset * unit + 1
        return None

    def _figures(self, figured: Element, number: str, onset: Fraction, bar: BarDraft) -> None:
        rows = tuple(words(row).translate(_FIGURES).replace(" ", "") for row in children(figured, "f"))
        rows = tuple(row for row in rows if row)
        note = next(
            (each for each in self._notes.get(number, []) if each.onset <= onset < each.onset + each.length), None
        )
        if note is None or not rows or any(not _typable(row) for row in rows):
            self._ledger.lose(
                "figures that stand at no bass note, or cannot be typed", line_of(figured), f"measure {bar.name}"
            )
            return
        note.figures.append((onset, rows))


def _typable(row: str) -> bool:
    sign, number = (row[0], row[1:]) if row[0] in "#bn" else ("", row)
    return (bool(sign) and not number) or (number.isascii() and number.isdecimal() and 0 < int(number) < 100)


def stanzas(root: Element) -> Iterator[Said]:
    """Verses that stand behind the music, line by line."""
    for stanza in inside(root, "lg"):
        number = whole(stanza.get("n"), 99)
        lines = [words(line).replace("/", " ") for line in children(stanza, "l")]
        if number and any(lines):
            yield Said(DirectiveKind.STANZA, f"{number} {' / '.join(line for line in lines if line)}")
