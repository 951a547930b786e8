"""The acts of the lines beside the tablature: vocal lines, basses, their words, chord letters."""

from __future__ import annotations

from pipeline.edition.apparatus.drafts import BarDraft, Said, Spot, act_of
from pipeline.edition.readings import NOTHING, here_said, marks_of, pitch_said, value_said, word_said
from pipeline.model.apparatus import Kind, Subject
from pipeline.model.heading import Heading
from pipeline.model.layers import LayerKind, LayerLine, LayerNote, LayerPitch
from pipeline.model.sounding import SoundingBar
from pipeline.source.parse.sungwords import read_word

_KINDS = {LayerKind.CHORDS: "chord letters", LayerKind.TEXT: "stanza"}


class LineActs:
    """Reads what stands under the tablature, bar by bar."""

    def __init__(self, heading: Heading) -> None:
        self._titles = {layer.name: layer.title or layer.name for layer in heading.layers}
        self._said = marks_of(heading, at_stop=False)

    def layers(self, draft: BarDraft, bar: SoundingBar) -> None:
        """Every act at a note of a line and at its words, and whatever is noted there."""
        for place, layer in enumerate(bar.bar.layers, start=1):
            if layer.kind in _KINDS:
                self._words(draft, layer, place, bar)
                continue
            part = self._titles.get(layer.name, layer.name)
            for number, note in enumerate(layer.notes, start=1):
                if isinstance(note, LayerNote) and not _plain(note):
                    at = f"{layer.name}-b{bar.index + 1}n{number}"
                    self._note(draft, note, Spot(at, number, 0, Subject.NOTE, 2 * number, part=part, line=place))

    def _words(self, draft: BarDraft, layer: LayerLine, place: int, bar: SoundingBar) -> None:
        kind = layer.name if layer.kind is LayerKind.TEXT else ""
        part = ", ".join(
            part for part in (self._titles.get(layer.over, layer.over), f"{_KINDS[layer.kind]} {kind}".strip()) if part
        )
        labelled = layer.word_labels or ((),) * len(layer.words)
        for number, ((typed, _), labels) in enumerate(zip(layer.words, labelled, strict=True), start=1):
            reading = read_word(typed)
            if reading is None and not labels:
                continue
            text = typed if reading is None else reading.edition or "-"
            before = (reading.source or "",) if reading is not None else ()
            at = f"b{bar.index + 1}"
            here = word_said(text) if text != "-" else text
            spot = Spot(at, number, 0, Subject.WORDS, 2 * number, here, (text,), before, part=part, line=place)
            act = act_of(reading, word_said) if reading is not None else None
            if act is not None:
                draft.act(spot, act, labels)
            draft.point(labels, spot)

    def _note(self, draft: BarDraft, note: LayerNote, spot: Spot) -> None:
        rhythm = spot._replace(subject=Subject.RHYTHM)
        acts = 0
        if note.pitch is not None:
            spot = spot._replace(
                here=here_said(note.pitch, pitch_said),
                typed=_spellings(note.pitch.edition),
                typed_source=_spellings(note.pitch.source),
            )
            act = act_of(note.pitch, pitch_said)
            if act is not None:
                draft.act(spot, act, note.labels)
                acts += 1
        if note.value is not None:
            act = act_of(note.value, value_said)
            if act is not None:
                draft.act(rhythm, act, () if acts else note.labels)
                acts += 1
        if note.group is not None and note.group.added:
            here = f"{note.group.notes} in the time of {note.group.time}"
            finding = Said(Kind.ADDED, NOTHING, here)
            draft.act(spot._replace(subject=Subject.GROUP), finding, () if acts else note.labels)
        draft.point(note.labels, spot)
        self._marks(draft, note, spot._replace(subject=Subject.MARK))

    def _marks(self, draft: BarDraft, note: LayerNote, spot: Spot) -> None:
        for group in note.value_marks:
            for reading in group.marks:
                act = act_of(reading, self._said)
                if act is not None:
                    draft.act(spot, act, group.labels)
            draft.point(group.labels, spot)


def _plain(note: LayerNote) -> bool:
    if note.labels or note.value_marks or (note.group is not None and note.group.added):
        return False
    return (note.value is None or act_of(note.value, value_said) is None) and (
        note.pitch is None or act_of(note.pitch, pitch_said) is None
    )


def _spellings(pitch: LayerPitch | None) -> tuple[str, ...]:
    if pitch is None:
        return ()
    return (f"{pitch.step}{pitch.accidental}{'' if pitch.octave is None else pitch.octave}",)
