"""Laws of collation: what is taken out again is what each source has, and nothing else changes.

What sounds is gathered here from the resolved bars alone, by a walk that knows nothing of the levels of collation.
"""

from __future__ import annotations

from collections import Counter

from hypothesis import event, given
from hypothesis import strategies as st

from pipeline.desk.collate.collating import collated
from pipeline.desk.collate.declaring import alone
from pipeline.desk.collate.record import Collated, Level
from pipeline.desk.collate.source import as_source
from pipeline.desk.collate.taking import edition_of, taken
from pipeline.model.heading import Heading, Witness
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import Tablature
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from pipeline.source.read import read_piece, sounding_piece
from pipeline.source.resolve import resolve
from tests.laws import rich
from tests.laws.test_exchange import law

HEADING = rich.HEADING.format(metre="C")
_FRETS = st.sampled_from(["0", "1", "2", "3", "5"])
_stop = st.tuples(
    st.integers(1, 6), _FRETS, st.sampled_from(["", "", "", "", "."]), st.sampled_from(["", "", "", "'T"])
)
_chord = st.lists(_stop, min_size=1, max_size=3, unique_by=lambda stop: stop[0]).map(
    lambda stops: ",".join(f"{course}:{fret}{dot}{mark}" for course, fret, dot, mark in sorted(stops, reverse=True))
)
_value = st.sampled_from(["", "", "", "4=", "8=", "2=", "4.=", "8/3=", "4'r="])
_word = st.tuples(_value, st.one_of(_chord, _chord, _chord, st.sampled_from(["X", "7", "-", "="]))).map("".join)
_bar = st.lists(_word, min_size=1, max_size=6).map(lambda words: f"| 4=3:0 {' '.join(words)}")
_line = st.one_of(*[_bar] * 6, st.sampled_from(["| ditto", "| 1=2:0 ||", "| 2=3:1 !| 2=3:2", "| 4=3:0 3:2 |!"]))
#: A page, and what another copyist makes of it: words and bars changed, left out, put in, bar lines moved.
_pages = st.tuples(_bar, st.lists(_line, min_size=1, max_size=5)).map(lambda parts: [parts[0], *parts[1]])
_slips = st.lists(
    st.tuples(
        st.sampled_from(["word", "word", "word", "word lost", "word more", "bar lost", "bar more", "line", "joined"]),
        st.integers(0, 5),
        st.integers(1, 6),
        _word,
        _bar,
    ),
    max_size=3,
)
_LEVELS = st.sampled_from(list(Level))
_ENDS = st.tuples(st.sampled_from([" |||", ""]), st.sampled_from([" |||", ""]))


def copied(page: list[str], slips: list[tuple[str, int, int, str, str]]) -> list[str]:
    """The page with the slips of a copyist."""
    made = list(page)
    for kind, number, after, word, bar in slips:
        at = number % len(made)
        words = made[at].split()
        place = 1 + after % max(1, len(words) - 1)
        if kind == "bar lost" and len(made) > 1:
            del made[at]
        elif kind == "bar more":
            made.insert(at, bar)
        elif "ditto" in words or "!|" in words or "|!" in words:
            continue
        elif kind == "word":
            words[place:] = [word, *words[place + 1 :]]
            made[at] = " ".join(words)
        elif kind == "word lost" and len(words) > 2:
            del words[place]
            made[at] = " ".join(words)
        elif kind == "word more":
            made[at] = " ".join([*words[:place], word, *words[place:]])
        elif kind == "line" and "||" not in words:
            made[at] = f"{made[at]} ||"
        elif kind == "joined" and at + 1 < len(made) and "||" not in words and made[at + 1].startswith("| 4="):
            made[at : at + 2] = [f"{made[at]} {made[at + 1][2:]}"]
    return made


def piece(lines: list[str], end: str = "", heading: str = HEADING) -> SoundingPiece:
    lines = [line.removesuffix(" |!") if number == len(lines) - 1 else line for number, line in enumerate(lines)]
    body = "\n".join(lines)
    ends = "" if body.endswith("||") else end
    return sounding_piece(SourceText.of("trial.intav", f"{heading}\n{body}{ends}\n")).value


def put(one: SoundingPiece, two: SoundingPiece, level: Level) -> Collated:
    return collated(one, two, Witness("B", "Trial manuscript"), level)


def heard(tablature: Tablature, heading: Heading) -> list[tuple[int, int]]:
    """When what is struck, from the beginning of the piece."""
    bars = resolve(tablature, heading).value.bars
    return sorted(
        (each.onset, stop.pitch) for bar in bars for each in bar.events for stop in each.stops if not stop.held
    )


def figures(tablature: Tablature, heading: Heading) -> list[tuple[int, int, object]]:
    """When which figure stands with how many dots, from the beginning of the piece."""
    bars = resolve(tablature, heading).value.bars
    return sorted(
        (each.onset, sign.course or 0, (sign.fret, sign.dots))
        for bar in bars
        for each in bar.events
        for stop in each.event.stops
        if (sign := stop.reading.source) is not None
    )


@law(40)
@given(_pages, _slips, _LEVELS, _ENDS)
def test_each_source_comes_out_again(
    page: list[str], slips: list[tuple[str, int, int, str, str]], level: Level, ends: tuple[str, str]
) -> None:
    one, two = piece(page, ends[0]), piece(copied(page, slips), ends[1])
    done = put(one, two, level)
    if done.tablature is None:
        event(f"refused: {done.diagnostics[0].message}")
        assert "hardly" in done.diagnostics[0].message or "written out" in done.diagnostics[0].message
        return
    event(f"{level.value}: {min(3, len(done.written))} bars")
    text = done.tablature
    short = [found.span.line for found in done.diagnostics if found.code.slug == "source-breaks-off"]
    there, wanted = as_source(two.tablature), heard(as_source(two.tablature), two.heading)
    again = heard(taken(text, one.heading, "B"), one.heading)
    if short:
        size = min(len(again), len(wanted))
        again, wanted = again[:size], wanted[:size]
    assert again == wanted
    if level is not Level.SOUND and not short:
        assert figures(taken(text, one.heading, "B"), one.heading) == figures(there, two.heading)
    assert write_encoding(alone(edition_of(text, "B"), "A")) == write_encoding(alone(one.tablature, "A"))


@law(40)
@given(_pages, _slips, _LEVELS)
def test_the_text_is_canonical_and_collating_again_changes_nothing(
    page: list[str], slips: list[tuple[str, int, int, str, str]], level: Level
) -> None:
    one, two = piece(page, " |||"), piece(copied(page, slips), " |||")
    done = put(one, two, level)
    if done.tablature is None:
        return
    typed = write_encoding(done.tablature)
    source = SourceText.of("trial.intav", typed)
    assert write_encoding(parse(source).value) == typed
    again = put(sounding_piece(source).value, two, level)
    assert again.tablature is not None
    assert write_encoding(again.tablature) == typed
    assert again.written == done.written
    before = Counter(
        found.code.slug for found in read_piece(SourceText.of("trial.intav", write_encoding(one.tablature))).diagnostics
    )
    after = Counter(found.code.slug for found in read_piece(source).diagnostics)
    assert after <= before


@law(40)
@given(rich.headings, rich.music, rich.music, _LEVELS)
def test_whatever_is_typed_is_collated_or_refused(heading: str, one: str, two: str, level: Level) -> None:
    """Never an exception; and what is written says what both have (it proves itself, or refuses)."""
    left, right = piece(one.split("\n"), "", heading), piece(one.split("\n")[:3] + two.split("\n")[:2], "", heading)
    done = put(left, right, level)
    event("written" if done.tablature is not None else f"refused: {done.diagnostics[0].message[:30]}")
