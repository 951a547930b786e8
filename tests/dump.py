"""A score as short lines of text: what a reader of the page would see, one line for each voice, staff or list of signs.

Written apart from the writers, for the cases of notation and the goldens. A line is ``MEASURE KEY: TOKENS``. Keys:
``bar`` (metre, key, label, bar lines), ``tab``, ``v1`` (voice), ``s-v`` (sung staff), ``slur``, ``hold``, ``arp``,
``dash``, ``bracket``, ``words``, ``fig``, ``chord``; lines without a measure belong to the whole.

One token of a voice: ``8:F#4/s^[=``: value, pitch, ``/`` accidental drawn (``(n)`` in brackets), stem (``^`` up,
``v`` down, none where free, ``o`` no stem), one sign for each beam (``[`` begins, ``=`` goes on, ``]`` ends, ``>`` and
``<`` hooks); a quaver without beam has its flag. ``~C4`` is tied to the note before, ``C4~`` to the next. ``r`` rest,
``R`` rest of the whole bar, ``-`` empty time. ``{3:2`` begins a group of three in the time of two, ``}3:2`` ends it,
``;3:2`` stands within (``3:2!``: its number is not the source's). ``%2`` stands on the second staff though its voice
does not. ``(8)`` and ``(-8)`` are signs of a restored octave, ``(8?)`` one that is asked. Places of signs that reach
on are ``measure.voice.event``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.model.notes import (
    BeamState,
    Editorial,
    Kind,
    Notehead,
    Octave,
    Ornament,
    StaffEvent,
    Stem,
    TabEvent,
    TabFigure,
    Tuplet,
)
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import BarStyle, Measure, Score, SungEvent

_BEAM = {
    BeamState.BEGIN: "[",
    BeamState.CONTINUE: "=",
    BeamState.END: "]",
    BeamState.FORWARD: ">",
    BeamState.BACKWARD: "<",
}
_STEM = {Stem.UP: "^", Stem.DOWN: "v", Stem.AUTO: ""}
_EDITORIAL = {
    Editorial.PLAIN: "",
    Editorial.BRACKETED: "!",
    Editorial.DOUBTFUL: "?",
    Editorial.BRACKETED_DOUBTFUL: "!?",
}
_BAR = {
    BarStyle.NONE: "none",
    BarStyle.SINGLE: "|",
    BarStyle.DOUBLE: "||",
    BarStyle.FINAL: "|||",
    BarStyle.DASHED: "¦",
    BarStyle.DOTTED: ":",
    BarStyle.REPEAT_START: "||.",
    BarStyle.REPEAT_END: ".||",
    BarStyle.REPEAT_BOTH: ".||.",
}


def dump(score: Score) -> Iterator[str]:
    """All lines of a score, in order."""
    yield f"lines {score.lines} tablature {score.tablature}"
    yield f"credits: {score.credits.title} / {score.credits.subtitle} / {score.credits.left} / {score.credits.right}"
    for staff in score.vocal:
        yield f"staff {staff.name}: {staff.title!r} {staff.clef}{' 8 below' if staff.octave_down else ''} " + (
            f"{staff.fifths} incipit {staff.incipit} stanzas {staff.stanzas}{' bass' if staff.bass else ''}"
        )
    if score.accompaniment_title:
        yield f"accompaniment: {score.accompaniment_title}"
    places = _places(score)
    for measure in score.measures:
        yield from (f"{measure.number} {line}" for line in measure_lines(measure, places))
    for note in score.footnotes:
        yield f"footnote {note.letter} at {note.measure}: {note.text}"
    for entry in score.legend:
        yield f"legend {entry.sign}: {entry.text}"
    for number, text in score.verses:
        yield f"verse {number}: {text}"


def measure_lines(measure: Measure, places: dict[str, str]) -> Iterator[str]:
    """The lines of one measure. ``places`` names ids."""
    yield f"bar: {' '.join(_bar(measure))}"
    if measure.tab:
        yield f"tab: {' '.join(_tab(event) for event in measure.tab)}"
    for layer in measure.layers:
        yield f"v{layer.voice}: s{layer.staff} {' '.join(_event(event) for event in layer.events)}"
    for staff in measure.sung:
        yield f"s-{staff.staff}: {' '.join(_sung(event, places) for event in staff.events)}"
    for key, tokens in _spanners(measure, places):
        if tokens:
            yield f"{key}: {' '.join(tokens)}"
    for words in measure.words:
        where = "tab" if words.tablature else "staves"
        yield f"words: {words.kind.value} {words.text!r} {words.place.value} {where} +{words.offset}"


def _bar(measure: Measure) -> Iterator[str]:
    if measure.metre is not None:
        metre = measure.metre
        yield f"metre={metre.sign}={metre.beats}/{metre.unit}"
    if measure.fifths is not None:
        yield f"key={measure.fifths}"
    yield f"no={measure.label or '-'}"
    yield f"left={_BAR[measure.left]}"
    yield f"right={_BAR[measure.right]}"
    if not measure.complete:
        yield "incomplete"
    if measure.ending is not None:
        ending = measure.ending
        yield f"ending={ending.number}{'(' if ending.starts else ''}{')' if ending.ends else ''}"
    if measure.folios:
        yield f"folios={measure.folios}"
    if measure.retuned is not None:
        yield f"retuned={measure.retuned.name}"
    if measure.footnote:
        yield f'"{measure.footnote}'


def _spanners(measure: Measure, places: dict[str, str]) -> Iterator[tuple[str, list[str]]]:
    def at(name: str) -> str:
        return places.get(name, name)

    yield "slur", [f"{at(one.start)}-{at(one.end)} {one.kind.value}" for one in measure.slurs]
    yield "hold", [f"{at(one.start)}-{at(one.end)}" for one in measure.holds]
    yield (
        "arp",
        [
            f"{'+'.join(map(at, one.heads))} as {'+'.join(map(at, one.order))} {one.direction}"
            f"{' spread' * one.plain_spread}{' mixed' * one.mixed}"
            for one in measure.arpeggios
        ],
    )
    yield "dash", [f"{at(one.start)}-{at(one.end)}" for one in measure.dashes]
    yield (
        "octaves",
        [f"{at(one.start)}-{at(one.end)} {8 * one.octaves}{'?' * one.asked}" for one in measure.octave_runs],
    )
    yield "bracket", [f"{at(one.start)}-{at(one.end)}" for one in measure.brackets]
    yield (
        "fig",
        [f"{at(one.at)}+{one.offset}x{one.ticks}={'/'.join(one.rows)}{'!' * one.editorial}" for one in measure.figures],
    )
    yield "chord", [f"{one.staff}+{one.offset}={one.text}{'(name)' * one.named}" for one in measure.chord_signs]


def _places(score: Score) -> dict[str, str]:
    """Ids of figures, events and heads by where they stand."""
    found: dict[str, str] = {}
    for measure in score.measures:
        for number, tab in enumerate(measure.tab, start=1):
            found[tab.id] = f"{measure.number}.t.{number}"
            for figure in tab.figures:
                found[figure.id] = f"{measure.number}.t.{number}:{figure.course}"
        for layer in measure.layers:
            for number, event in enumerate(layer.events, start=1):
                for head in event.heads:
                    found[head.id] = f"{measure.number}.v{layer.voice}.{number}:{_name(head.pitch)}"
        for staff in measure.sung:
            for number, sung in enumerate(staff.events, start=1):
                found[sung.id] = f"{measure.number}.{staff.staff}.{number}"
    return found


def _name(pitch: SpelledPitch | None) -> str:
    if pitch is None:
        return "?"
    return f"{pitch.step}{'#' * pitch.alter or 'b' * -pitch.alter}{pitch.octave}"


def _tuplet(tuplet: Tuplet | None) -> tuple[str, str]:
    if tuplet is None:
        return "", ""
    ratio = f"{tuplet.notes}:{tuplet.time}{'!' * tuplet.added}"
    begin = f"{{{ratio}_" if tuplet.starts else ""
    end = f"}}{ratio}" if tuplet.ends else "" if tuplet.starts else f";{ratio}"
    return begin, end


def _event(event: StaffEvent) -> str:
    begin, end = _tuplet(event.tuplet)
    small = f"small({'+'.join(_head(head, event.staff) for head in event.small)})" if event.small else ""
    if event.kind is Kind.NOTE:
        body = "+".join(_head(head, event.staff) for head in event.heads)
    else:
        body = _silence(event.kind, event.whole_bar)
    stem = "o" if event.stemless else _STEM[event.stem] if event.kind is Kind.NOTE else ""
    beams = "".join(_BEAM[state] for state in event.beams)
    marks = ("@f" if event.fermata else "") + (f"@{event.strum}" if event.strum else "")
    return f"{begin}{small}{event.value.name}:{body}{stem}{beams}{marks}{end}"


def _silence(kind: Kind, whole_bar: bool) -> str:
    return "-" if kind is Kind.SPACE else "R" if whole_bar else "r"


def _accidental(sign: str, courtesy: bool) -> str:
    return "" if not sign else f"/({sign})" if courtesy else f"/{sign}"


def _head(head: Notehead, staff: int) -> str:
    return "".join(
        (
            "~" if head.tie_to else "",
            _name(head.pitch),
            _accidental(head.accidental, head.courtesy),
            f"%{head.staff}" if head.staff != staff else "",
            _octave(head.octave),
            _EDITORIAL[head.editorial],
            _fingers(head.left_finger, head.right_finger),
            _ornaments(head.ornaments),
            f'"{head.footnote}' if head.footnote else "",
            "~" if head.tie_from else "",
        )
    )


def _octave(octave: Octave | None) -> str:
    if octave is None:
        return ""
    return f"({octave.octaves * 8}{'?' if octave.asked else ''}{'=' * octave.in_run})"


def _fingers(left: str, right: str) -> str:
    return (f"'{left}" if left else "") + (f"'{right}" if right else "")


def _ornaments(ornaments: Iterable[Ornament]) -> str:
    return "".join(f"'{one.printed}.{one.place.value}{_EDITORIAL[one.editorial]}" for one in ornaments)


def _tab(event: TabEvent) -> str:
    begin, end = _tuplet(event.tuplet)
    sign = ""
    if event.sign is not None:
        note = f'"{event.sign.footnote}' if event.sign.footnote else ""
        sign = f"{event.sign.value.name}h{event.sign.flags}{_EDITORIAL[event.sign.editorial]}{note}="
    beam = "" if event.beam is None else _BEAM[event.beam]
    marks = "".join(
        name
        for name, there in (
            ("'r", event.arpeggio),
            ("'s", event.spread),
            (f"'{event.strum}{event.arrow}", bool(event.strum)),
            ("'e", event.and_so_on),
            ("'b", event.barre),
            ("'f", event.fermata),
        )
        if there
    )
    figures = "r" if event.rest else ",".join(map(_figure, event.figures)) or "-"
    note = f'"{event.footnote}' if event.footnote else ""
    return f"{begin}{beam}{sign}{marks}{figures}{note}@{event.value.name}{end}"


def _figure(figure: TabFigure) -> str:
    ink = {"figure": "", "illegible": "ill", "lost": "lost"}[figure.ink.value]
    note = f'"{figure.footnote}' if figure.footnote else ""
    tail = f"{'.' * figure.dots}{_EDITORIAL[figure.editorial]}{_fingers(figure.left_finger, figure.right_finger)}"
    outside = "out" if figure.outside else ""
    tail += "'b" * figure.barre + f">{figure.order}" * bool(figure.order)
    return f"{figure.course}:{figure.text}{outside}{ink}{tail}{_ornaments(figure.ornaments)}{note}"


def _sung(event: SungEvent, places: dict[str, str]) -> str:
    begin, end = _tuplet(event.tuplet)
    body = _silence(event.kind, event.whole_bar)
    if event.kind is Kind.NOTE:
        tie_to, tie_from = "~" * event.tie_to, "~" * event.tie_from
        body = f"{tie_to}{_name(event.pitch)}{_accidental(event.accidental, event.courtesy)}{tie_from}"
    beams = "".join(_BEAM[state] for state in event.beams)
    words = "".join(f"<{one.stanza}{one.text!r}{one.position}{'_' * one.extends}>" for one in event.syllables)
    slur = f"slur-to-{places.get(event.slur_to, event.slur_to)}" if event.slur_to else ""
    fermata = "@f" if event.fermata else ""
    return f"{begin}{event.value.name}:{body}{_EDITORIAL[event.editorial]}{beams}{fermata}{words}{slur}{end}"


def narrow(score: Score) -> Iterator[str]:
    """Views of one voice for small cases: ``r1`` its rhythm without pitches, ``p1`` its pitches without rhythm."""
    for measure in score.measures:
        for layer in measure.layers:
            yield f"{measure.number} r{layer.voice}: {' '.join(_rhythm(event) for event in layer.events)}"
            heads = [head for event in layer.events for head in event.heads]
            signs = [f"{_name(head.pitch)}{_accidental(head.accidental, head.courtesy)}" for head in heads]
            yield f"{measure.number} p{layer.voice}: {' '.join(signs)}"


def _rhythm(event: StaffEvent) -> str:
    begin, end = _tuplet(event.tuplet)
    beams = "".join(_BEAM[state] for state in event.beams)
    if event.kind is not Kind.NOTE:
        return f"{begin}{event.value.name}{_silence(event.kind, event.whole_bar)}{beams}{end}"
    tie_to = "~" if all(head.tie_to for head in event.heads) else ""
    tie_from = "~" if all(head.tie_from for head in event.heads) else ""
    return f"{begin}{tie_to}{event.value.name}{beams}{tie_from}{end}"
