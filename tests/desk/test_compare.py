"""Comparing: laws over any music, every single change at its bar in the right words, bars more and less, speed."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from pipeline.desk.compare.content import FindingContent, PieceContent
from pipeline.desk.compare.differ import differences
from pipeline.desk.compare.difference import Difference, Group, Kind
from pipeline.desk.compare.writers.words import message
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from tests.desk.contents import both_ways, content, content_of_text
from tests.laws import rich, songs
from tests.made import text

HEAD = (
    'longneck 1\ntitle Trial\ninstrument theorbo in A\nmetre C\nmark T = "t" trill, after\nmark M = "x" bite, above\n'
)
BARS = (
    "| 2=X,4:2,3:3,2:1 4=3:5 3:6",
    "| 4.=11,4:0,3:5 8=3:3 2=6:0,5:2,3:2",
    "| 4=3:5 3:3 3:2'T _3:0",
    "| 8=3:5 3:3 3:2 3:0 3:5 3:3 3:2 3:0",
    "| 8=3:5 3:3 3:2 3:0 3:5 3:3 3:2 3:0",
    "| 1'r=X,4:2,3:3,2:1 |||",
)
#: No shrinking: it takes minutes here, and the first failing example says enough.
_PLAIN = (Phase.explicit, Phase.reuse, Phase.generate)


def found(before: str, after: str, bars: tuple[str, ...] = BARS, head: str = HEAD) -> list[Difference]:
    """What one replacement in the music makes differ."""
    whole = "\n".join(bars)
    assert before in whole
    return list(differences(content(whole, head), content(whole.replace(before, after, 1), head)))


def told(one: Difference) -> tuple[str, str, str]:
    return one.kind.value, one.one.bar or one.two.bar, message(one)


# --- laws -----------------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None, phases=_PLAIN)
@given(rich.music, rich.music, rich.headings)
def test_laws_of_any_two_pieces(one: str, two: str, heading: str) -> None:
    left, right = content(one, heading), content(two, heading)
    forth, back = differences(left, right), differences(right, left)
    assert Counter(forth) == Counter(found.mirrored for found in back)
    assert differences(left, left) == ()
    assert bool(forth) or (left == right and left.unread == right.unread)
    assert left != right or not [one for one in forth if one.kind.group is Group.MUSIC and one.kind is not Kind.UNREAD]


@settings(max_examples=40, deadline=None, phases=_PLAIN)
@given(songs.pieces, songs.pieces, songs.headings)
def test_laws_of_any_two_songs(one: str, two: str, heading: str) -> None:
    left, right = content(one, heading), content(two, heading)
    forth, back = differences(left, right), differences(right, left)
    assert Counter(forth) == Counter(found.mirrored for found in back)
    assert differences(left, left) == ()
    assert bool(forth) == (left != right)


@settings(max_examples=60, deadline=None, phases=_PLAIN)
@given(rich.music, rich.headings)
def test_tidying_changes_no_music(music: str, heading: str) -> None:
    source = text(music, heading)
    tidy = SourceText.of(source.name, write_encoding(parse(source).value))
    assert differences(content_of_text(source), content_of_text(tidy)) == ()


@settings(max_examples=40, deadline=None, phases=_PLAIN)
@given(songs.pieces, songs.headings)
def test_tidying_changes_no_song(music: str, heading: str) -> None:
    source = text(music, heading)
    tidy = SourceText.of(source.name, write_encoding(parse(source).value))
    assert differences(content_of_text(source), content_of_text(tidy)) == ()


@settings(max_examples=40, deadline=None, phases=_PLAIN)
@given(rich.music, rich.headings, st.randoms(use_true_random=False))
def test_white_space_and_comments_are_no_music(music: str, heading: str, chance: random.Random) -> None:
    lines = []
    for line in music.split("\n"):
        spaced = line.replace(" ", " " * chance.randint(1, 3)) if line.startswith("|") else line
        if chance.random() < 0.3:
            lines.append("; a private remark")
        lines.append(spaced + (" ; why" if chance.random() < 0.3 and line.startswith("|") else ""))
    assert differences(content(music, heading), content("\n".join(lines), heading)) == ()


def test_labels_and_the_order_in_a_chord_are_no_music() -> None:
    assert found("X,4:2,3:3,2:1 4=", "2:1,3:3,X,4:2 4=") == []
    one = content('| 1=3:2"a,2:1"b\n"a EB: one\n"b EB: two', HEAD)
    two = content('| 1=3:2"z,2:1"a\n"a EB: two\n"z EB: one', HEAD)
    assert differences(one, two) == ()


_STOPPED = st.tuples(st.integers(1, 6), st.integers(0, 8))
_EVENTS = st.lists(
    st.lists(_STOPPED, min_size=1, max_size=3, unique_by=lambda stop: stop[0]).map(lambda stops: sorted(stops)[::-1]),
    min_size=2,
    max_size=5,
)
_PIECES = st.lists(_EVENTS, min_size=3, max_size=8)


def _typed(piece: list[list[list[tuple[int, int]]]], changes: dict[tuple[int, int], str] | None = None) -> str:
    """Every bar begins with a sign of its own; ``changes`` puts another word for an event."""
    lines = []
    for number, bar in enumerate(piece):
        words = [",".join(f"{course}:{fret}" for course, fret in event) for event in bar]
        for place, word in enumerate(words):
            head = "8=" if place == 0 else ""
            words[place] = (changes or {}).get((number, place), head + word)
        lines.append("| " + " ".join(words))
    return "\n".join(lines)


_CHANGES = ("fret", "course", "sign", "doubt", "added", "emended", "mark", "slur", "dots", "arpeggio", "beam")


@settings(max_examples=150, deadline=None, phases=_PLAIN)
@given(_PIECES, st.data())
def test_a_single_change_is_told_once_at_its_bar(piece: list[list[list[tuple[int, int]]]], data: st.DataObject) -> None:
    number = data.draw(st.integers(0, len(piece) - 1))
    place = data.draw(st.integers(0, len(piece[number]) - 1))
    what = data.draw(st.sampled_from(_CHANGES))
    (course, fret), *others = piece[number][place]
    rest = "".join(f",{other}:{high}" for other, high in others)
    head = "8=" if place == 0 else ""
    free = next(other for other in range(1, 7) if other not in {one for one, _ in piece[number][place]})
    if what == "beam":
        place, head = 1, "_8="
        rest = ",".join(f"{one}:{high}" for one, high in piece[number][1])
    word = {
        "fret": f"{head}{course}:{(fret + 1) % 9}{rest}",
        "course": f"{head}{free}:{fret}{rest}",
        "sign": f"{'16' if place == 0 else '4'}={course}:{fret}{rest}",
        "doubt": f"{head}{course}:{fret}?{rest}",
        "added": f"{head}{course}:{fret}!{rest}",
        "emended": f"{head}{course}:{fret}!{course}:{(fret + 2) % 9}{rest}",
        "mark": f"{head}{course}:{fret}'T{rest}",
        "slur": f"{head}_{course}:{fret}{rest}",
        "dots": f"{head}{course}:{fret}.{rest}",
        "arpeggio": f"{head.removesuffix('=')}'r={course}:{fret}{rest}",
        "beam": f"{head}{rest}",
    }[what]
    one, two = content(_typed(piece), HEAD), content(_typed(piece, {(number, place): word}), HEAD)
    listed = differences(one, two)
    assert {(found.one.index, found.two.index) for found in listed} == {(number, number)}
    assert len(listed) == (2 if what == "beam" else 1)
    assert all(found.one.event == found.two.event == place + 1 for found in listed)


@settings(max_examples=100, deadline=None, phases=_PLAIN)
@given(_PIECES, st.data())
def test_a_bar_more_or_less_is_one_difference(piece: list[list[list[tuple[int, int]]]], data: st.DataObject) -> None:
    number = data.draw(st.integers(0, len(piece) - 1))
    less = [*piece[:number], *piece[number + 1 :]]
    one, two = content(_typed(piece), HEAD), content(_typed(less), HEAD)
    (gone,), (come,) = differences(one, two), differences(two, one)
    assert gone.kind is come.kind is Kind.BAR
    assert piece[gone.one.index] == piece[number] == piece[come.two.index], "any of several equal bars may be named"
    assert (gone.two.text, come.one.text) == ("", "")


# --- words ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("3:5 3:6", "3:5 3:7", [("stop", "bar 1", "event 3, course 3: fret 6 → fret 7 (sounds F4 → F#4)")]),
        ("3:5 3:6", "3:5 2:6", [("stop", "bar 1", "event 3: course 3 fret 6 → course 2 fret 6 (sounds F4 → Bb3)")]),
        ("3:5 3:6", "3:5", [("event", "bar 1", "event 3: course 3 fret 6 → nothing")]),
        ("X,4:2,3:3,2:1 4", "X,4:2,2:1 4", [("stop", "bar 1", "event 1: course 3 fret 3 → nothing (sounds D4)")]),
        ("2=X,4", "2=9,4", [("stop", "bar 1", "event 1: diapason 10 → diapason 9 (sounds D2 → E2)")]),
        ("2=X,4:2", "2=X,4:2!4:3",
         [("stop", "bar 1", "event 1, course 4: fret 2 → fret 2 (the source has fret 3)")]),
        ("2=X,4:2", "2=X,4:2!", [("stop", "bar 1", "event 1, course 4: fret 2 → fret 2, added by the editor")]),
        ("2=X,4:2", "2=X,4:2?", [("stop", "bar 1", "event 1, course 4: fret 2 → fret 2, doubtful")]),
        ("2=X,4:2", "2=X,!4:2",
         [("stop", "bar 1", "event 1, course 4: fret 2 → fret 2 in the source, left out by the editor (sounds A3)")]),
        ("2=X,4:2", "2=X,4:?",
         [("stop", "bar 1", "event 1, course 4: fret 2 → a sign that cannot be read (sounds A3)")]),
        ("2=X,4:2", "2=X,4:2..", [("stop", "bar 1", "event 1, course 4: fret 2 → fret 2, two dots")]),
        ("2=X,4:2", "2=X>4:2",
         [("stop", "bar 1", "event 1, order: together → diapason 10, then course 4 with course 3 with course 2")]),
        ("4.=11", "2=11", [("rhythm sign", "bar 2", "event 1, rhythm sign: dotted crotchet → minim")]),
        ("4.=11", "4.!8=11",
         [("rhythm sign", "bar 2", "event 1, rhythm sign: dotted crotchet → dotted crotchet (the source has quaver)")]),
        ("2=6:0", "6:0", [("rhythm sign", "bar 2", "event 3, rhythm sign: minim → nothing")]),
        ("3:2'T", "3:2", [("mark", "bar 3", "event 3, course 3: “t” → nothing")]),
        ("3:2'T", "3:2'M", [("mark", "bar 3", "event 3, course 3: “t” → “x”")]),
        ("3:2'T", "3:2'T!", [("mark", "bar 3", "event 3, course 3: “t” → “t”, added by the editor")]),
        ("_3:0", "3:0", [("slur", "bar 3", "event 4, course 3: slur from the note before → nothing")]),
        ("1'r", "1'u", [("mark", "bar 6", "event 1: arpeggio → strum up")]),
        ("|||", "||", [("bar line", "bar 6", "at the end of the bar: final bar line → double bar line")]),
        ("_3:0", "_3:0 |!",
         [("bar line", "bar 3", "at the end of the bar: bar line → bar line, added by the editor")]),
        ("| 4=3:5", "|< 4=3:5", [("bar", "bar 3", "length of the bar: of full length → short on purpose")]),
        ("| 4=3:5", "metre 3\n| 4=3:5", [("between bars", "bar 3", "metre: nothing → 3")]),
        ("| 4=3:5", "section Prima\n| 4=3:5", [("between bars", "bar 3", "section: nothing → Prima")]),
        ("| 4=3:5 3:3", '| 4=3:5 3:3"a\n"a EB: why',
         [("note line", "bar 3", "event 2, course 3: nothing → note EB: why")]),
        ("3:5 3:6", "3:5 !B", [("event", "bar 1", "event 3: course 3 fret 6 → nothing"),
                               ("unread", "bar 1", "inside the bar: nothing → unread “!B”")]),
        ("|||", "|||\nagain start", [("between bars", "", "again from after the last bar: nothing → start")]),
    ],
)  # fmt: skip
def test_a_change_in_words(before: str, after: str, expected: list[tuple[str, str, str]]) -> None:
    whole = after if "\n" not in after or '"a' not in after else f"{after.split(chr(10), maxsplit=1)[0]}"
    bars = BARS
    if '"a EB' in after:  # the note line stands under its bar
        bars = tuple(f"{bar}\n" if bar == BARS[2] else bar for bar in BARS)
        changed = "\n".join(bars).replace(before, whole, 1).replace("_3:0\n", f"_3:0\n{after.split(chr(10))[1]}", 1)
        listed = differences(content("\n".join(bars), HEAD), content(changed, HEAD))
    else:
        listed = tuple(found(before, after))
    assert [told(one) for one in listed] == expected


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("v 2=D5 E", "v 2=D5 F", [("sung note", "note 2, line v: E5 (minim) → F5 (minim)")]),
        ("v 2=D5 E", "v 2=D5 4=E E", [("sung note", "note 2, line v: E5 (minim) → E5 (crotchet)"),
                                      ("sung note", "note 3, line v: nothing → E5 (crotchet)")]),
        ("v 2=D5 E", "v 2=D5 _D", [("sung note", "note 2, line v: E5 (minim) → D5 (minim), tied to the note before")]),
        ("1 pian- ti", "1 pian- to", [("words", "note 2, line v, stanza 1: “-ti” → “-to”")]),
        ("b 1=G2'6", "b 1=G2'4-3", [("figures", "note 1, line b: figures 6 → figures 4, then 3")]),
        ("c G -", "c G D", [("chord letter", "note 2, chord letter over line v: nothing → D")]),
    ],
)  # fmt: skip
def test_a_change_beside_the_tablature_in_words(before: str, after: str, expected: list[tuple[str, str]]) -> None:
    head = HEAD + "layer v = Canto, clef C1\nlayer b = Basso, clef F4\n"
    music = "| 2=7,3:0 8,4:2\nv 2=D5 E\nc G -\n1 pian- ti\nb 1=G2'6"
    listed = differences(content(music, head), content(music.replace(before, after), head))
    assert [(one.kind.value, message(one)) for one in listed] == expected
    assert {(one.one.bar or one.two.bar) for one in listed} == {"bar 1"}


def test_a_sign_that_holds_on_is_told_where_it_does() -> None:
    """The signs of the second bar hold from the first: what is written there is the same, and lasts otherwise."""
    bars = ("| 2=3:0 3:2", "| 3:3 3:5", "| 4=3:0 3:2 3:3 3:5")
    listed = found("2=3:0", "4=3:0", bars)
    assert [told(one) for one in listed] == [
        ("rhythm sign", "bar 1", "event 1, rhythm sign: minim → crotchet"),
        ("value in force", "bar 2", "event 1, with no sign of its own, up to the next sign: minim → crotchet"),
    ]


def test_a_course_sounded_again_in_one_event() -> None:
    (difference,) = found("3:0>2:1>3:1", "3:0>2:1>3:3", ("| 1=7>3:0>2:1>3:1",))
    assert message(difference) == "event 1, course 3: fret 1 → fret 3 (sounds C4 → D4)"


def test_only_the_tuning() -> None:
    """Pitches that differ through a diapason alone are told once, with how many and where."""
    music = "\n".join(BARS)
    listed = differences(content(music, HEAD), content(music, f"{HEAD}diapasons 11 = C#2, 9 = Eb2\n"))
    assert [told(one) for one in listed] == [
        ("tuning", "", "course 9: E2 → Eb2 (not struck in this piece)"),
        ("tuning", "", "course 11: C2 → C#2 (only the tuning differs: 1 stop sounds different, in bar 2)"),
    ]


def test_a_retuning_on_the_way() -> None:
    """It is told once, at its line, and not again as if the heading said it."""
    listed = found("| 1'r", "retune 10 = D#2\n| 1'r")
    assert [told(one) for one in listed] == [
        (
            "between bars",
            "bar 6",
            "retuning: nothing → 10 = D#2 (only the tuning differs: 1 stop sounds different, in bar 6)",
        ),
    ]


def test_an_instrument_a_tone_lower_is_one_difference() -> None:
    """Theorbo in G against theorbo in A: every course a whole tone lower (CP, facts of the instruments)."""
    music = "\n".join(BARS)
    listed = differences(content(music, HEAD), content(music, HEAD.replace("theorbo in A", "theorbo in G")))
    counted = [told(one) for one in listed if one.kind.group is Group.MUSIC]
    assert counted == [
        ("tuning", "", "the whole instrument: course 1 A3 → course 1 G3 "
         "(only the tuning differs: 37 stops sound different, in bars 1–6)"),
    ]  # fmt: skip


def test_descriptions_are_told_but_are_no_music() -> None:
    music = "\n".join(BARS)
    listed = differences(content(music, HEAD), content(f"&3r\n{music}", HEAD.replace("title Trial", "title Other")))
    assert {one.kind for one in listed} == {Kind.DESCRIPTION, Kind.BREAK}
    assert {one.kind.group for one in listed} == {Group.BESIDE}


def test_edition_licence_and_canvas_are_told() -> None:
    head = HEAD + "edition {}\nlicence {}\ncanvas 4r = {}\n"
    one = content("| 1=X", head.format("1.0, 2026-01-02", "CC BY 4.0", "https://example.org/a"))
    two = content("| 1=X", head.format("1.1, 2026-01-02", "CC0", "https://example.org/b"))
    assert [told(each) for each in differences(one, two)] == [
        ("description", "", "edition: 1.0, 2026-01-02 → 1.1, 2026-01-02"),
        ("description", "", "licence: CC BY 4.0 → CC0"),
        ("description", "", "canvas 4r: https://example.org/a → https://example.org/b"),
    ]
    first, *_ = differences(content("| 1=X", HEAD), one)
    assert told(first)[2] == "edition: nothing → 1.0, 2026-01-02"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("8=3:5 3:3 3:2 3:0 3:5", "8=3:5 3:3 3:2 3:0 |\n| 3:5"),
        ("8=3:5 3:3 3:2 3:0 3:5", "8=3:5 3:3 3:2 3:0 |!\n| 3:5"),
    ],
)
def test_other_barring_is_told_as_a_bar_line(before: str, after: str) -> None:
    (one,) = found(before, after)
    said = "bar line, added by the editor" if "!" in after else "bar line"
    assert told(one) == ("bar line", "bar 4", f"event 4, after it: nothing → {said}")


def test_a_piece_in_bars_of_twice_the_length() -> None:
    """Every second bar line left out: as many differences, and nothing else."""
    chance = random.Random(7)
    halves = [" ".join(f"4={chance.randint(1, 6)}:{chance.randint(0, 8)}" for _ in range(2)) for _ in range(40)]
    one = content("\n".join(f"| {half}" for half in halves), HEAD)
    two = content("\n".join(f"| {a} {b}" for a, b in zip(halves[::2], halves[1::2], strict=True)), HEAD)
    listed = differences(one, two)
    assert {message(found) for found in listed} == {"event 2, after it: bar line → nothing"}
    assert len(listed) == 20


def test_a_bar_written_out_or_not() -> None:
    bars = ("| 4=3:0 3:2 3:3 3:5", "| 4=3:0 3:2 3:3 3:5")
    listed = differences(content("\n".join(bars), HEAD), content(f"{bars[0]}\n| ditto", HEAD))
    assert [told(one) for one in listed] == [("bar", "bar 2", "the bar: written out → only “ditto”")]


def test_an_inserted_bar_leaves_the_later_ones_alone() -> None:
    listed = found("| 8=", "| 1=7,3:0\n| 8=")
    assert [(one.kind, one.one.text, one.two.text) for one in listed] == [
        (Kind.BAR, "", "semibreve: diapason 7, course 3 open")
    ]
    assert (listed[0].two.bar, listed[0].two.index) == ("bar 4", 3)


def test_a_change_behind_an_inserted_bar_has_both_numbers() -> None:
    music = "\n".join(BARS)
    changed = music.replace("| 8=", "| 1=7,3:0\n| 8=", 1).replace("|||", "||")
    _, last = differences(content(music, HEAD), content(changed, HEAD))
    assert (last.one.bar, last.two.bar, last.kind) == ("bar 6", "bar 7", Kind.BARLINE)


def test_places_in_the_text() -> None:
    (one,) = found("3:5 3:6", "3:5  3:7")
    assert one.one.span is not None and one.two.span is not None
    assert (one.one.span.line, one.one.span.start, one.two.span.start) == (8, 25, 26)


# --- readings and findings ------------------------------------------------------------------------------


def read(music: str) -> PieceContent:
    return both_ways(text(music, HEAD))[1]


def test_readings_are_compared_where_both_have_them() -> None:
    music = '| 2=X,3:3 4=3:5"a 3:6\n"a EB: here\n| 1=7,3:0 |||'
    pinned = music.replace('"a EB: here', '"a > voice 2')
    kinds = {one.kind for one in differences(read(music), read(pinned))}
    assert {Kind.VOICE, Kind.NOTE} <= kinds
    assert {one.kind for one in differences(content(music, HEAD), content(pinned, HEAD))} == {Kind.NOTE}


def test_findings_go_with_their_bars_not_with_their_lines() -> None:
    music = "\n".join(BARS)
    one, two = content(music, HEAD), content(f"; a line more\n{music}", HEAD)
    line = one.bars[1].span.line
    kept = FindingContent("wide-stretch", "warning", "Too wide.", line)
    moved = FindingContent("wide-stretch", "warning", "Too wide.", line + 1)
    assert differences(one, two, [kept], [moved]) == ()
    other = FindingContent("wide-stretch", "warning", "Much too wide.", line + 1)
    (changed,) = differences(one, two, [kept], [other])
    assert told(changed) == ("finding", "bar 2", "wide-stretch: warning: Too wide. → warning: Much too wide.")
    (come,) = differences(one, two, [], [moved])
    assert (come.one.text, come.two.text) == ("", "warning: Too wide.")
    heading = FindingContent("gut", "warning", "Tight.", 3)
    (gone,) = differences(one, two, [heading], [])
    assert (gone.one.index, gone.two.index, gone.one.text) == (-1, -1, "warning: Tight.")


def test_words_and_chord_letters_that_are_emended() -> None:
    """What the source has tells two encodings apart, though both print the same."""
    bars = ("| 2=X,3:3 3:2\nv 2=D5 E5\nc A!E D\n1 can- to!ta",)
    head = f"{HEAD}layer v = Canto, clef C1\n"
    (word,) = found("to!ta", "to", bars, head)
    assert "“-to” (the source has ta)" in message(word)
    (letter,) = found("A!E", "A", bars, head)
    assert "A (the source has E)" in message(letter)
