"""Note lines of one bar, put back to the signs that they speak of: which letter ties them together says nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from pipeline.desk.compare.content import NoteContent, Notes
from pipeline.model.tablature import NoteKind, NoteLine, Pin

_OCTAVES = {1: "octave up", 0: "octave kept", -1: "octave down"}


@dataclass(frozen=True, slots=True)
class Labelled:
    """A note line and its label, empty for the whole bar. ``lasts_to`` is the label that a pin's note lasts to."""

    label: str
    content: NoteContent
    lasts_to: str = ""


def labelled(line: NoteLine) -> Labelled:
    """A typed note line."""
    pin = line.pin
    if pin is None:
        return Labelled(line.label, NoteContent(line.kind, line.who, line.text))
    return pinned(line.label, line.who, pin)


def pinned(label: str, who: str, pin: Pin) -> Labelled:
    """A pin, in words."""
    said: list[str] = []
    if pin.voice is not None:
        said.append(f"voice {pin.voice}")
    if pin.octave is not None:
        said.append(_OCTAVES.get(pin.octave, f"octave {pin.octave}"))
    if pin.lasts is not None:
        said.append(f"lasts {pin.lasts.name}")
    return Labelled(label, NoteContent(NoteKind.PIN, who, ", ".join(said)), pin.lasts_to)


@dataclass(slots=True)
class BarNotes:
    """The notes of a bar. ``events`` tells which event a label stands in, from 1; it is asked only for pins that need
    it."""

    lines: tuple[Labelled, ...]
    events: Callable[[], dict[str, int]]
    _by_label: dict[str, list[NoteContent]] = field(init=False)
    _taken: set[str] = field(init=False)

    def __post_init__(self) -> None:
        self._by_label = {}
        self._taken = {""}
        for line in self.lines:
            self._by_label.setdefault(line.label, []).append(self._whole(line))

    def at(self, labels: Iterable[str]) -> Notes:
        """What is noted at a sign with these labels."""
        if not self._by_label:
            return ()
        found: list[NoteContent] = []
        for label in labels:
            self._taken.add(label)
            found.extend(self._by_label.get(label, ()))
        return tuple(found)

    def rest(self) -> Notes:
        """What is noted on the whole bar, and at labels that no sign has been asked for. Ask last."""
        if not self._by_label:
            return ()
        lost = (label for label in self._by_label if label not in self._taken)
        return (*self._by_label.get("", ()), *(note for label in lost for note in self._by_label[label]))

    def _whole(self, line: Labelled) -> NoteContent:
        if not line.lasts_to:
            return line.content
        event = self.events().get(line.lasts_to)
        said = f"lasts to event {event}" if event is not None else "lasts to a place that is not there"
        content = line.content
        return NoteContent(content.kind, content.who, f"{content.text}, {said}" if content.text else said)


NO_NOTES = BarNotes((), dict)
