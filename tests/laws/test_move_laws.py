"""Laws of moving: any music without errors, in any key, on any instrument, in either signs.

The moved text has no errors, sounds note for note as the source moved (by a reader of its own), and keeps every event,
value, mark of the right hand, ornament, bar line, directive and note line; moved with its own places given, nothing
changes."""

from __future__ import annotations

from collections import Counter

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from pipeline.edition.leading import check_piece
from pipeline.model.diagnostics import Severity
from pipeline.model.signs import Event
from pipeline.model.tablature import Bar, Directive, DirectiveKind, Tablature
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from tests.desk.moved import bars, moved, read
from tests.desk.test_move_pitches import INSTRUMENTS, INTERVALS, SEMITONES, wrong
from tests.laws import music, rich, songs

LAW = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
_moves = st.tuples(
    st.integers(0, len(INTERVALS) - 1),
    st.sampled_from(["", *INSTRUMENTS]),
    st.sampled_from(["", "french", "italian"]),
)
#: Music with every sign, but none that cannot be read at all.
_readable = rich.music.filter(lambda text: "rubbish" not in text)
_headed = st.tuples(rich.headings, _readable).map(lambda parts: f"{parts[0]}\n{parts[1]}\n")
_plain = st.tuples(music.metres, music.pieces).map(
    lambda parts: f"longneck 1\ntitle Law\ninstrument theorbo in G\nmetre {parts[0]}\nkey G minor\n\n{parts[1]}\n"
)
_sung = st.tuples(songs.headings, songs.pieces).map(lambda parts: f"{parts[0]}\n{parts[1]}\n")


def errors(text: str) -> list[str]:
    found = check_piece(SourceText.of("law.intav", text))
    return [f"{one.code.slug}: {one.message}" for one in found if one.severity is Severity.ERROR]


def _moved_well(text: str, move: tuple[int, str, str]) -> None:
    assume(not errors(text))
    key, instrument, signs = move
    source = read(text)
    made = moved(source, INTERVALS[key], instrument, signs)
    assert errors(made.text) == []
    assert wrong(source, made, SEMITONES[key]) == []
    before, after = parse(SourceText.of("a", text)).value, parse(SourceText.of("b", made.text)).value
    assert _skeleton(after) == _skeleton(before)
    assert not (_notes(before) - _notes(after)) or any("pin" in one.message for one in made.diagnostics)


def _skeleton(tablature: Tablature) -> list[object]:
    """All that is not a stop, a chord letter, a key or a tuning."""
    found: list[object] = []
    for item in tablature.body:
        if isinstance(item, Bar):
            heads = [(_head(event), bool(event.stops)) for event in item.items if isinstance(event, Event)]
            lines = [
                (layer.kind, layer.name, layer.over, len(layer.notes)) for layer in item.layers if layer.name != "c"
            ]
            words = [layer.words and [word for word, _ in layer.words] for layer in item.layers if layer.name != "c"]
            found.append((item.kind, item.closing.kind, item.closing.act, [value for value, _ in heads], lines, words))
        elif isinstance(item, Directive) and item.kind not in (DirectiveKind.RETUNE, DirectiveKind.KEY):
            found.append((item.kind, item.text))
    return found


def _head(event: Event) -> object:
    head = event.head
    if head is None:
        return None
    marks = [reading for group in head.marks for reading in group.marks if reading.edition != "b"]
    value = (head.value, head.beamed, head.group, marks)
    return value if any(value) else None


def _notes(tablature: Tablature) -> Counter[tuple[object, str, str]]:
    lines = [note for bar in tablature.bars for note in bar.notes if note.kind.value in ("reason", "printed word")]
    return Counter((note.kind, note.who, note.text) for note in lines)


@LAW
@given(_headed, _moves)
def test_music_with_every_sign(text: str, move: tuple[int, str, str]) -> None:
    _moved_well(text, move)


@LAW
@given(_plain, _moves)
def test_plain_music(text: str, move: tuple[int, str, str]) -> None:
    _moved_well(text, move)


@LAW
@given(_sung, _moves)
def test_songs(text: str, move: tuple[int, str, str]) -> None:
    _moved_well(text, move)


@LAW
@given(st.one_of(_headed, _plain))
def test_its_own_places_given(text: str) -> None:
    assume(not errors(text))
    source = read(text)
    made = moved(source, "P1", keep=source)
    assert bars(made.text) == bars(write_encoding(parse(SourceText.of("a", text)).value))
    assert made.diagnostics == ()
