"""Every row of the table "I want to say → I type" of the encoding, with what it must mean."""

from __future__ import annotations

import pytest

from pipeline.model.layers import LayerKind, LayerPitch
from pipeline.model.record import replace
from pipeline.model.signs import Act, Body, FretState, Group, Slur
from pipeline.model.tablature import (
    BarKind,
    Barline,
    BarlineAct,
    BarlineKind,
    Directive,
    DirectiveKind,
    NoteKind,
    Pin,
    SourceBreak,
)
from pipeline.model.time import Value
from tests.source.typed import bar, both, clean, directive, event, events, places, stop, where


def value(word: str) -> Value | None:
    head = event(word).head
    assert head
    return head.value.edition if head.value else None


def letters(groups: object) -> list[list[str | None]]:
    return [[reading.edition for reading in group.marks] for group in groups]  # type: ignore[attr-defined]


class TestRhythm:
    def test_minim_over_a_chord_and_the_next_event_without_a_sign(self) -> None:
        first, second = events("2=X,4:2,3:3 1:0")
        assert first.head
        assert first.head.value
        assert first.head.value.edition == Value(2)
        assert places(first) == [(10, 0), (4, 2), (3, 3)]
        assert second.head is None
        assert places(second) == [(1, 0)]

    def test_dotted_breve_and_fermata(self) -> None:
        assert value("4.=1:0") == Value(4, 1)
        assert value("0=1:0") == Value(0)
        head = event("1'f=1:0").head
        assert head
        assert head.value
        assert head.value.edition == Value(1)
        assert letters(head.marks) == [["f"]]

    def test_rest_blank_place_and_empty_bar(self) -> None:
        rest = event("4=-")
        assert (rest.body, rest.head is None, rest.stops) == (Body.NOTHING, False, ())
        blank = event("-")
        assert (blank.body, blank.head) == (Body.NOTHING, None)
        assert [each.body for each in bar("| -").events] == [Body.NOTHING]

    def test_triplets_and_other_groups(self) -> None:
        first, second, _ = events("8/3=1:0 1:2 1:3")
        assert first.head
        assert first.head.group == Group(3, 2, None)
        assert second.head is None
        again = event("/3=1:0").head
        assert again
        assert (again.value, again.group) == (None, Group(3, 2, None))
        five = event("16/5:4=1:0").head
        assert five
        assert five.group == Group(5, 4, 4)
        added = event("8/3!=1:0").head
        assert added
        assert added.group == Group(3, 2, None, added=True)

    def test_beamed_signs(self) -> None:
        first, second, third = events("16=1:0 _=1:2 _8=1:3")
        assert first.head
        assert second.head
        assert third.head
        assert [head.beamed for head in (first.head, second.head, third.head)] == [False, True, True]
        assert second.head.value is None
        assert third.head.value
        assert third.head.value.edition == Value(8)

    @pytest.mark.parametrize(
        ("word", "act", "edition", "source"),
        [
            ("4!=1:0", Act.ADDED, Value(4), None),
            ("4!8=1:0", Act.EMENDED, Value(4), Value(8)),
            ("!8=1:0", Act.REMOVED, None, Value(8)),
            ("?=1:0", Act.ILLEGIBLE, None, None),
            ("*=1:0", Act.LOST, None, None),
            ("4!?=1:0", Act.SUPPLIED_ILLEGIBLE, Value(4), None),
            ("4!*=1:0", Act.SUPPLIED_LOST, Value(4), None),
        ],
    )
    def test_edited_signs(self, word: str, act: Act, edition: Value | None, source: Value | None) -> None:
        head = event(word).head
        assert head
        assert head.value
        assert (head.value.act, head.value.edition, head.value.source) == (act, edition, source)
        assert not head.value.doubtful

    def test_doubtful_sign(self) -> None:
        head = event("4?=1:0").head
        assert head
        assert head.value
        assert (head.value.act, head.value.edition, head.value.doubtful) == (Act.PRINTED, Value(4), True)


class TestStops:
    def test_french_chord_and_diapasons(self) -> None:
        assert places(event("/a,4c,3b,2b", "french")) == [(8, 0), (4, 2), (3, 1), (2, 1)]
        bare = [places(each)[0] for each in events("a /a //a ///a 4 5 6 7", "french")]
        assert bare == [(7, 0), (8, 0), (9, 0), (10, 0), (11, 0), (12, 0), (13, 0), (14, 0)]
        with_value, eleventh = events("4=//a 4=4", "french")
        assert with_value.head
        assert places(with_value) == [(9, 0)]
        assert places(eleventh) == [(11, 0)]

    def test_french_letters(self) -> None:
        # a … i k l m n = 0 … 12, y for i, r for c. Source: facts of the trade, PS-inf.
        frets = [
            places(each)[0][1] for each in events(" ".join(f"3{letter}" for letter in "abcdefghiklmnyr"), "french")
        ]
        assert frets == [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 8, 2]
        sign = stop("3y", "french").sign
        assert sign
        assert sign.typed == "y"

    def test_italian_figures(self) -> None:
        # X = 10 on a line, the tenth course outside. Source: facts of the trade, PS/CP.
        on_line, outside, as_ten, bass = events("3:X X 10 14")
        assert [places(each)[0] for each in (on_line, outside, as_ten, bass)] == [(3, 10), (10, 0), (10, 0), (14, 0)]
        kept = [each.stops[0].sign.typed for each in (on_line, outside, as_ten) if each.stops[0].sign]
        assert kept == ["X", "X", "10"]

    def test_stops_one_after_another(self) -> None:
        word = event("2=X>4:2>3:3>1:2")
        assert [each.after for each in word.stops] == [False, True, True, True]
        assert places(event("4:2>3:3>4:2")) == [(4, 2), (3, 3), (4, 2)]  # a course may come again in turn

    def test_chord_not_reprinted(self) -> None:
        word = event("4==")
        assert word.body is Body.AS_BEFORE
        assert word.head
        assert event("=").body is Body.AS_BEFORE
        assert event("=").head is None

    def test_slur_of_any_length(self) -> None:
        slurs = [each.stops[0].slur for each in events("1:0 _1:2 _1:3")]
        assert slurs == [None, Slur.PRINTED, Slur.PRINTED]

    def test_hold_line(self) -> None:
        held = events("5:0 3:2 3:3,5:-")[2].stops[1].sign
        assert held
        assert (held.course, held.fret, held.state, held.typed) == (5, None, FretState.HOLD, "")
        diapason = stop("9-").sign
        assert diapason
        assert (diapason.course, diapason.state, diapason.typed, diapason.bare) == (9, FretState.HOLD, "9", True)
        french = stop("/a-", "french").sign
        assert french
        assert (french.course, french.state, french.typed) == (8, FretState.HOLD, "/a")
        stopped = stop("5:-", "french").sign
        assert stopped
        assert (stopped.course, stopped.state, stopped.bare) == (5, FretState.HOLD, False)

    def test_right_and_left_hand(self) -> None:
        assert letters(stop("X'p").marks) == [["p"]]
        one, two = stop("3:2.").sign, stop("3:2..").sign
        assert one
        assert two
        assert (one.dots, two.dots) == (1, 2)
        assert letters(stop("3:2'2iT").marks) == [["2", "i", "T"]]

    def test_marks_of_the_chord(self) -> None:
        for word, mark in (("2'r=3:2", "r"), ("'s=3:2", "s"), ("'u=3:2", "u"), ("'d=3:2", "d"), ("'e=3:2", "e")):
            head = event(word).head
            assert head
            assert letters(head.marks) == [[mark]]


class TestEditing:
    @pytest.mark.parametrize(
        ("word", "act", "edition", "source"),
        [
            ("3:2!", Act.ADDED, (3, 2), None),
            ("3:2!3:5", Act.EMENDED, (3, 2), (3, 5)),
            ("!3:5", Act.REMOVED, None, (3, 5)),
            ("3:2!?", Act.SUPPLIED_ILLEGIBLE, (3, 2), None),
            ("3:2!*", Act.SUPPLIED_LOST, (3, 2), None),
            ("3:?", Act.PRINTED, (3, None), (3, None)),
            ("3:*", Act.PRINTED, (3, None), (3, None)),
            ("?:2", Act.PRINTED, (None, 2), (None, 2)),
            ("*:2", Act.PRINTED, (None, 2), (None, 2)),
            ("?", Act.ILLEGIBLE, None, None),
            ("*", Act.LOST, None, None),
            ("7!8", Act.EMENDED, (7, 0), (8, 0)),
            ("3:2!?:2", Act.EMENDED, (3, 2), (None, 2)),
        ],
    )
    def test_edited_stops(
        self, word: str, act: Act, edition: tuple[int, int] | None, source: tuple[int, int] | None
    ) -> None:
        reading = stop(word).reading
        assert reading.act is act
        assert both(reading) == (edition, source)

    def test_what_is_illegible_is_said(self) -> None:
        fret, lost, line = stop("3:?").sign, stop("3:*").sign, stop("?:2").sign
        assert fret
        assert lost
        assert line
        assert (fret.state, lost.state, line.course_sign) == (FretState.ILLEGIBLE, FretState.LOST, "?")

    def test_doubt_on_either_side(self) -> None:
        assert stop("3:2?").reading.doubtful
        reading = stop("3:2?!3:5?").reading
        assert (reading.doubtful, reading.source_doubtful) == (True, True)
        assert stop("!3:5?").reading.source_doubtful

    @pytest.mark.parametrize(
        ("word", "slur"),
        [("_1:2", Slur.PRINTED), ("_!1:2", Slur.ADDED), ("_?1:2", Slur.DOUBTFUL), ("!_1:2", Slur.REMOVED)],
    )
    def test_edited_slurs(self, word: str, slur: Slur) -> None:
        found = events(f"1:0 {word}")[1].stops[0]
        assert found.slur is slur
        assert both(found.reading) == ((1, 2), (1, 2))

    def test_slur_to_a_stop_whose_line_is_unclear(self) -> None:
        found = stop("_?:2")
        assert found.slur is Slur.PRINTED
        assert where(found.sign) == (None, 2)

    @pytest.mark.parametrize(
        ("word", "act", "edition", "source"),
        [
            ("3:2'T!", Act.ADDED, "T", None),
            ("3:2'!T", Act.REMOVED, None, "T"),
            ("3:2'T!M", Act.EMENDED, "T", "M"),
            ("3:2'T?", Act.PRINTED, "T", "T"),
            ("3:2'?", Act.ILLEGIBLE, None, None),
            ("3:2'*", Act.LOST, None, None),
        ],
    )
    def test_edited_marks(self, word: str, act: Act, edition: str | None, source: str | None) -> None:
        (group,) = stop(word).marks
        (reading,) = group.marks
        assert (reading.act, reading.edition, reading.source) == (act, edition, source)

    def test_labels_on_every_kind_of_sign(self) -> None:
        assert [label.letter for label in stop('3:2"a').labels] == ["a"]
        (group,) = stop("3:2'T\"a").marks
        assert [label.letter for label in group.labels] == ["a"]
        sign = event('4"a=3:2').head
        assert sign
        assert ([label.letter for label in sign.labels], sign.opening_labels) == (["a"], ())
        whole = event('"a=3:2').head
        assert whole
        assert ([label.letter for label in whole.opening_labels], whole.labels) == (["a"], ())
        line = bar('| 3:2 |!"a\n"a EB: to make up the bar').closing
        assert (line.act, [label.letter for label in line.labels]) == (BarlineAct.ADDED, ["a"])

    def test_note_lines(self) -> None:
        reason, word, witness = bar('| 3:2"a\n"a EB: digits confused\n"a : adagio\n"a !B 3:3').notes
        assert (reason.kind, reason.label, reason.who, reason.text) == (NoteKind.REASON, "a", "EB", "digits confused")
        assert (word.kind, word.who, word.text) == (NoteKind.PRINTED_WORD, "", "adagio")
        assert (witness.kind, witness.who, witness.text) == (NoteKind.WITNESS, "B", "3:3")
        (whole,) = bar('| 3:2\n" EB: crowded').notes
        assert whole.label == ""

    def test_whole_bar_of_another_source(self) -> None:
        copy, other = bar("| 2=X,4:2 1:0\n! 2=X,4:3 1:0\n!B 2=X,4:2 1:0 ||").variants
        assert (copy.witness, other.witness) == ("", "B")
        first, _, line = other.items
        assert places(first) == [(10, 0), (4, 2)]  # type: ignore[arg-type]
        assert isinstance(line, Barline)

    @pytest.mark.parametrize(
        ("pins", "pin"),
        [
            ("voice 2, octave up, lasts 2.", Pin(2, 1, Value(2, 1))),
            ("octave down", Pin(octave=-1)),
            ("octave kept", Pin(octave=0)),
            ("lasts to b", Pin(lasts_to="b")),
        ],
    )
    def test_pins(self, pins: str, pin: Pin) -> None:
        (note,) = bar(f'| 3:2"a 3:3"a 3:2"b\n"a > {pins}\n"b EB: end').notes[:1]
        assert (note.kind, note.pin) == (NoteKind.PIN, pin)

    def test_a_pin_that_ends_at_a_label_is_its_note(self) -> None:
        assert clean('| 3:2"a 3:3"b\n"a > lasts to b')


class TestForm:
    @pytest.mark.parametrize(
        ("typed", "kind"),
        [
            ("||", BarlineKind.DOUBLE),
            ("|||", BarlineKind.FINAL),
            (".||", BarlineKind.REPEAT_END),
            ("||.", BarlineKind.REPEAT_START),
            (".||.", BarlineKind.REPEAT_BOTH),
            ("|-|", BarlineKind.DASHED),
        ],
    )
    def test_bar_lines(self, typed: str, kind: BarlineKind) -> None:
        closing = bar(f"| 1:0 {typed}").closing
        assert (closing.kind, closing.act, closing.typed) == (kind, BarlineAct.PRINTED, True)
        plain = bar("| 1:0").closing
        assert (plain.kind, plain.act, plain.typed) == (BarlineKind.SINGLE, BarlineAct.PRINTED, False)

    def test_bar_line_at_the_very_start(self) -> None:
        assert (directive("opens ||.").kind, directive("opens ||.").text) == (DirectiveKind.OPENS, "||.")

    def test_edited_bar_lines(self) -> None:
        assert bar("| 1:0 |!").closing.act is BarlineAct.ADDED
        assert bar("| 1:0 |?").closing.act is BarlineAct.DOUBTFUL
        removed = bar("| 1:0 !| 1:2").items[1]
        assert isinstance(removed, Barline)
        assert (removed.kind, removed.act) == (BarlineKind.SINGLE, BarlineAct.REMOVED)

    def test_ditto(self) -> None:
        one, two, other = (each.ditto for each in clean("section Prima\n| ditto\n| ditto 2\n| ditto Prima 3").bars)
        assert one
        assert two
        assert other
        assert (one.bars, one.section, one.number) == (1, "", 0)
        assert (two.bars, two.section, two.number) == (2, "", 0)
        assert (other.bars, other.section, other.number) == (1, "Prima", 3)

    @pytest.mark.parametrize(
        ("line", "kind", "text"),
        [
            ("ending 1", DirectiveKind.ENDING, "1"),
            ("ending 2", DirectiveKind.ENDING, "2"),
            ("ending end", DirectiveKind.ENDING, "end"),
            ("again start", DirectiveKind.AGAIN, "start"),
            ("again Ritornello", DirectiveKind.AGAIN, "Ritornello"),
            ("retune 8 = F2", DirectiveKind.RETUNE, "8 = F2"),
            ("metre 3/2", DirectiveKind.METRE, "3/2"),
            ("metre none", DirectiveKind.METRE, "none"),
            ("key D minor", DirectiveKind.KEY, "D minor"),
            ("gap 3 bars, corner torn", DirectiveKind.GAP, "3 bars, corner torn"),
            ("stanza 4 Lieti prati", DirectiveKind.STANZA, "4 Lieti prati"),
            ("layout new page", DirectiveKind.LAYOUT, "new page"),
            ("layout same system", DirectiveKind.LAYOUT, "same system"),
            ("section Seconda parte", DirectiveKind.SECTION, "Seconda parte"),
            ("tempo adagio", DirectiveKind.TEMPO, "adagio"),
        ],
    )
    def test_lines_between_bars(self, line: str, kind: DirectiveKind, text: str) -> None:
        found = directive(line)
        assert (found.kind, found.text) == (kind, text)

    def test_printed_words_at_a_repeat(self) -> None:
        found = directive('again Ritornello\n" : ut supra')
        assert [(note.kind, note.text) for note in found.notes] == [(NoteKind.PRINTED_WORD, "ut supra")]

    def test_bars_short_and_free_on_purpose(self) -> None:
        kinds = [each.kind for each in clean("|< 4=1:0\n|> 4=1:0\n| 4=1:0").bars]
        assert kinds == [BarKind.SHORT, BarKind.FREE, BarKind.MEASURED]

    def test_systems_and_pages(self) -> None:
        page, inner = clean("&4r\n| 1:0 & 1:2 &4v 1:3").body
        assert page == replace(page, folio="4r")
        breaks = [item.folio for item in inner.items if isinstance(item, SourceBreak)]  # type: ignore[union-attr]
        assert breaks == ["", "4v"]

    def test_a_line_goes_on(self) -> None:
        assert len(bar("| 1:0 1:2\n+ 1:3 1:5\n+ ||").events) == 4


class TestOtherLayers:
    def test_voice(self) -> None:
        (line,) = bar("| -\nv 2=D5 E _E 8=- F#").layers
        assert (line.kind, line.name) == (LayerKind.VOICE, "v")
        d, e, tied, rest, f = line.notes
        pitches = [note.pitch and note.pitch.edition for note in (d, e, tied, rest, f)]  # type: ignore[union-attr]
        assert pitches == [
            LayerPitch("D", "", 5),
            LayerPitch("E", "", None),
            LayerPitch("E", "", None),
            None,
            LayerPitch("F", "#", None),
        ]
        assert [note.joined for note in line.notes] == [False, False, True, False, False]  # type: ignore[union-attr]

    def test_text(self) -> None:
        tablature = clean("| -\nv 2=D5 E F G\n1 Du- ri _ pian- ti_a\nstanza 4 Lieti prati")
        (_, text) = tablature.bars[0].layers
        assert (text.kind, text.over) == (LayerKind.TEXT, "v")
        assert [word for word, _ in text.words] == ["Du-", "ri", "_", "pian-", "ti_a"]
        assert isinstance(tablature.body[1], Directive)

    def test_a_semicolon_sung_is_no_comment(self) -> None:
        (_, text) = bar("| -\nv 2=D5 E\n1 pianti; ma ; a comment").layers
        assert [word for word, _ in text.words] == ["pianti;", "ma"]
        assert text.comment == "; a comment"

    def test_emendation_inside_a_syllable(self) -> None:
        (_, text) = bar('| -\nv 2=D5\n1 pian-"a\n"a !A pien-\n"a EB: by the sense').layers
        assert [word for word, _ in text.words] == ["pian-"]
        assert [[label.letter for label in labels] for labels in text.word_labels] == [["a"]]

    def test_bass_with_figures(self) -> None:
        (line,) = bar("| -\nb 2=D3'6,4 D'4-3 D'#").layers
        assert line.kind is LayerKind.BASS
        figures = [note.figures for note in line.notes]  # type: ignore[union-attr]
        assert figures == [(("6", "4"),), (("4",), ("3",)), (("#",),)]

    def test_chord_letters_belong_to_the_line_just_above(self) -> None:
        layers = bar("| -\nc G - D\nv 2=D5 E\nc C G\nb 2=D3\nc D").layers
        assert [(line.name, line.over) for line in layers if line.kind is LayerKind.CHORDS] == [
            ("c", ""),
            ("c", "v"),
            ("c", "b"),
        ]


def test_the_three_bars() -> None:
    """The bars of the section "Three bars, before and after"."""
    tablature = clean(
        '| 4=X,3:2 8!4"a=2:0 1:0 4=3:2!?"b 3:0\n'
        '"a EB: sign one value too long; B agrees\n'
        '"a !B 8\n'
        '"b EB: supplied for a blot, by the sequence\n'
        "| 8=11,4:2 3:2 2:0 1:0 3:3 3:2 3:0 1:0 |!\n"
        "| 8=_1:2 1:3 1:2 1:0 4=X,2:1 2:0'T"
    )
    first, second, third = tablature.bars
    emended = first.events[1].head
    assert emended
    assert emended.value
    assert (emended.value.act, emended.value.edition, emended.value.source) == (Act.EMENDED, Value(8), Value(4))
    assert first.events[3].stops[0].reading.act is Act.SUPPLIED_ILLEGIBLE
    assert [note.kind for note in first.notes] == [NoteKind.REASON, NoteKind.WITNESS, NoteKind.REASON]
    assert first.notes[0].text == "sign one value too long; B agrees"
    assert second.closing.act is BarlineAct.ADDED
    assert third.events[0].stops[0].slur is Slur.PRINTED
    assert letters(third.events[-1].stops[0].marks) == [["T"]]


class TestWhatPrintsHold:
    def test_two_signs_over_one_event(self) -> None:
        head = event("4+8=1:0").head
        assert head
        assert head.value
        assert (head.value.edition, head.second) == (Value(4), Value(8))

    def test_a_star_that_says_to_hold(self) -> None:
        assert event("3:2'h").stops[0].starred
        assert not event("3:2'!h").stops[0].starred

    def test_a_source_that_omits_the_bar(self) -> None:
        (variant,) = bar("| 1=1:0\n!B omits").variants
        assert (variant.witness, variant.items, variant.omits) == ("B", (), True)

    def test_what_stands_at_the_head_of_a_system(self) -> None:
        made = bar('| &4r"a 1=1:0 &"b 1:2\n"a : clef C3\n"b : custos')
        breaks = [item for item in made.items if isinstance(item, SourceBreak)]
        assert [(each.folio, [label.letter for label in each.labels]) for each in breaks] == [
            ("4r", ["a"]),
            ("", ["b"]),
        ]
