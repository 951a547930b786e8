"""What the script of a proof page knows of the piece, as small as it can be said."""

from __future__ import annotations

import re

from pipeline.desk.proof.reading import Marks
from pipeline.desk.proof.record import HeardBar, Proof, TypedBar, View
from pipeline.model.facsimile import FolioImage
from pipeline.model.performance import Sounder

_VIEW_BOX = re.compile(r'viewBox="0 0 (\d+) (\d+)"')
_MEASURE = re.compile(r'<g id="m(\d+)(?:-part\d+)?" class="measure')
_SOUNDERS = {Sounder.LUTE: 0, Sounder.VOICE: 1, Sounder.BASS: 2}


def facts(proof: Proof) -> dict[str, object]:
    """``views``: name, title, pages (width, height, numbers of the bars on it). ``says``: what is said of signs.
    ``bars``: label, line, start, end, then five for each sign: its name (what follows the bar's, or whole), its line
    counted from the bar's, start, end, place in ``says``. ``contents``: a name of what each bar holds. ``heard``:
    length, four for each tone (onset, length, pitch, 0 lute, 1 voice, 2 bass), onsets of the events. ``images``: the
    bars of each image, as numbers. ``piece``: the name of its file; ``reading``: the marks kept beside it, or null.
    ``systems``: of each image where each system lies (top, bottom, left, right in percent) and its bars."""
    says: dict[str, int] = {}
    return {
        "views": [_view(view) for view in proof.views],
        "bars": [_bar(bar, says) for bar in proof.bars],
        "piece": proof.texts[0].name.rpartition("/")[2].removesuffix(".intav"),
        "reading": _reading(proof.reading),
        "says": list(says),
        "contents": [bar.content for bar in proof.bars],
        "heard": [_heard(bar) for bar in proof.heard],
        "pace": proof.crotchets,
        "pitch": proof.pitch,
        "images": [[index + 1 for index in image.bars] for image in proof.images],
        "systems": [_systems(image) for image in proof.images],
    }


def _systems(image: FolioImage) -> list[object]:
    made: list[object] = []
    for one in image.systems:
        zone = one.zone
        made.append([zone.top, zone.bottom, zone.left, zone.right, [index + 1 for index in one.bars]])
    return made


def _reading(marks: Marks | None) -> dict[str, object] | None:
    """As the file holds them that the page saves."""
    if marks is None:
        return None
    return {
        "read": list(marks.read),
        "notes": [{"bar": note.bar, "content": note.content, "text": note.text} for note in marks.notes],
    }


def _view(view: View) -> list[object]:
    return [view.name, view.title, [_page(page) for page in view.pages]]


def _page(drawing: str) -> list[object]:
    box = _VIEW_BOX.search(drawing)
    width, height = (int(box[1]), int(box[2])) if box is not None else (210, 297)
    return [width, height, list(dict.fromkeys(int(number) for number in _MEASURE.findall(drawing)))]


def _bar(bar: TypedBar, says: dict[str, int]) -> list[object]:
    own = bar.id + "e"
    cut = len(bar.id)
    signs: list[object] = []
    for sign in bar.signs:
        name = sign.id[cut:] if sign.id.startswith(own) else sign.id
        signs += (name, sign.line - bar.line, sign.start, sign.end, says.setdefault(sign.says, len(says)))
    return [bar.label, bar.line, bar.start, bar.end, signs]


def _heard(bar: HeardBar) -> list[object]:
    tones: list[int] = []
    for tone in bar.tones:
        tones += (tone.onset, tone.length, tone.pitch, _SOUNDERS[tone.sounder])
    return [bar.length, tones, bar.events]
