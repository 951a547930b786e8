"""The critical apparatus: every act once, in the order of print, in words.

The words and columns are those of a critical report. Source: common practice, no source (``facts.md``: bar, event,
course, reading in the source, emendation, reason).
"""

from __future__ import annotations

import pytest

from pipeline.edition.apparatus import apparatus
from pipeline.edition.lead import lead
from pipeline.edition.spell import spell
from pipeline.model.apparatus import Apparatus, Entry, Kind, Subject
from tests import made

HEADING = (
    made.HEADING.replace("title", "source A = Print\nsource B = Copy\neditor EB = E. B.\neditor MR = M. R.\ntitle")
    + 'metre C\nkey D minor\nmark T = "t" trill, after\nmark M = "x" mordent, above\n'
)


def report(music: str, heading: str = HEADING) -> Apparatus:
    return apparatus(spell(lead(made.resolved(music, heading)[0])))


def acts(music: str, heading: str = HEADING) -> tuple[Entry, ...]:
    """All entries but the octaves."""
    found = report(music, heading).entries
    return tuple(entry for entry in found if entry.kind not in (Kind.RESTORED, Kind.ASKED))


def one(music: str, heading: str = HEADING) -> Entry:
    (entry,) = acts(music, heading)
    return entry


def said(entry: Entry) -> tuple[object, ...]:
    return (entry.event, entry.course, entry.subject, entry.kind, entry.source, entry.here)


SIGN, RHYTHM, MARK, SLUR, LINE = Subject.SIGN, Subject.RHYTHM, Subject.MARK, Subject.SLUR, Subject.BAR_LINE

#: Typed bar → event, course, what, kind, reading in the source, reading here. The grammar gives each its meaning
#: (``encoding.md``, "I want to say → I type").
SINGLE = {
    "| 1=3:2!3:5": (1, 3, SIGN, Kind.EMENDED, "5", "2"),
    "| 1=3:2!4:2": (1, 3, SIGN, Kind.EMENDED, "2 on the fourth course", "2 on the third course"),
    "| 1=3:2?!3:5?": (1, 3, SIGN, Kind.EMENDED, "5 (doubtful)", "2 (doubtful)"),
    "| 1=3:2.!3:2": (1, 3, SIGN, Kind.EMENDED, "2 without dots", "2 with a dot"),
    "| 1=8!9": (1, 8, SIGN, Kind.EMENDED, "9", "8"),
    "| 1=3:2,2:1!": (1, 2, SIGN, Kind.ADDED, "nothing", "1"),
    "| 1=3:2,!2:1": (1, 2, SIGN, Kind.REMOVED, "1", "left out"),
    "| 1=3:2!?": (1, 3, SIGN, Kind.SUPPLIED_ILLEGIBLE, "illegible", "2"),
    "| 1=3:2!*": (1, 3, SIGN, Kind.SUPPLIED_LOST, "lost", "2"),
    "| 1=3:2?": (1, 3, SIGN, Kind.DOUBTFUL, "2 (doubtful)", "2"),
    "| 1=3:?": (1, 3, SIGN, Kind.ILLEGIBLE, "illegible", "no reading"),
    "| 1=3:*": (1, 3, SIGN, Kind.LOST, "lost", "no reading"),
    "| 1=?": (1, 0, SIGN, Kind.ILLEGIBLE, "illegible", "no reading"),
    "| 1=?:2": (1, 0, SIGN, Kind.ILLEGIBLE, "2 on no certain line", "2 on no certain line"),
    "| 1=*:2": (1, 0, SIGN, Kind.LOST, "2 on no certain line", "2 on no certain line"),
    "| 2=3:2 2!4=3:1": (2, 0, RHYTHM, Kind.EMENDED, "crotchet", "minim"),
    "| 2=3:2 2!=3:1": (2, 0, RHYTHM, Kind.ADDED, "nothing", "minim"),
    "| 2=3:2 !4=3:1": (2, 0, RHYTHM, Kind.REMOVED, "crotchet", "left out"),
    "| 2=3:2 2!*=3:1": (2, 0, RHYTHM, Kind.SUPPLIED_LOST, "lost", "minim"),
    "| 2=3:2 ?=3:1": (2, 0, RHYTHM, Kind.ILLEGIBLE, "illegible", "no reading"),
    "| 4/3!=3:2 3:1 3:0 2=3:2": (1, 0, Subject.GROUP, Kind.ADDED, "nothing", "3 in the time of 2"),
    "| 1=3:2'T!": (1, 3, MARK, Kind.ADDED, "nothing", "mark t"),
    "| 1=3:2'!T": (1, 3, MARK, Kind.REMOVED, "mark t", "left out"),
    "| 1=3:2'T!M": (1, 3, MARK, Kind.EMENDED, "mark x", "mark t"),
    "| 1=3:2'?": (1, 3, MARK, Kind.ILLEGIBLE, "illegible", "no reading"),
    "| 1'f?=3:2": (1, 0, MARK, Kind.DOUBTFUL, "fermata (doubtful)", "fermata"),
    "| 1=3:2's!,2:1": (1, 3, MARK, Kind.ADDED, "nothing", "line to the next stop"),
    "| 2=3:2 _!3:3": (2, 3, SLUR, Kind.ADDED, "nothing", "slur"),
    "| 2=3:2 _?3:3": (2, 3, SLUR, Kind.DOUBTFUL, "slur (doubtful)", "slur"),
    "| 2=3:2 !_3:3": (2, 3, SLUR, Kind.REMOVED, "slur", "left out"),
    "| 1=3:2 |!": (0, 0, LINE, Kind.ADDED, "nothing", "bar line"),
    "| 1=3:2 ||?": (0, 0, LINE, Kind.DOUBTFUL, "double bar line (doubtful)", "double bar line"),
    "| 2=3:2 !| 3:3": (1, 0, LINE, Kind.REMOVED, "bar line after event 1", "left out"),
}


@pytest.mark.parametrize(("music", "expected"), SINGLE.items(), ids=list(SINGLE))
def test_each_act_in_words(music: str, expected: tuple[object, ...]) -> None:
    assert said(one(music)) == expected


@pytest.mark.parametrize("music", ["| 1=3:2", "| 2'r=X,4:2,3:3,2:1 _2:0", "| 2=5:0 3:2,5:-", "| 2=3:2.'2 3:3'pT || "])
def test_what_is_only_the_source_is_no_entry(music: str) -> None:
    assert acts(music) == ()


def test_letters_of_the_french_system() -> None:
    entry = one("| 1=/a!//a", HEADING + "signs french\n")
    assert said(entry) == (1, 8, SIGN, Kind.EMENDED, "//a", "/a")


def test_names_are_those_of_the_score() -> None:
    """Stop ids: third bar typed, second event, course 5 (``DEVELOPERS.md``)."""
    (first, second, third) = acts("| 1=3:2\n| 1=3:2\n| 2=3:2 5:3!,!4:1,3:?")
    assert [entry.at for entry in (first, second, third)] == ["b3e2u1", "b3e2x1", "b3e2c5"]
    assert {entry.bar for entry in (first, second, third)} == {"3"}


def test_in_the_order_of_print() -> None:
    """By bar, event, course; a line of the whole bar first, its closing line last."""
    music = '| 2=3:2!,2:1! 4!8=5:3! 4=3:?,1:0? |!\n" EB: worn\n| 1=3:2!'
    assert [(e.bar, e.event, e.course, e.subject.value) for e in acts(music)] == [
        ("1", 0, 0, "bar"),
        ("1", 1, 2, "sign"),
        ("1", 1, 3, "sign"),
        ("1", 2, 0, "rhythm sign"),
        ("1", 2, 5, "sign"),
        ("1", 3, 1, "sign"),
        ("1", 3, 3, "sign"),
        ("1", 0, 0, "bar line"),
        ("2", 1, 3, "sign"),
    ]


# --- reasons ------------------------------------------------------------------------------------------------


def test_a_reason_stands_at_its_act() -> None:
    entry = one('| 1=3:2!3:5"a\n"a EB: digits confused')
    assert (entry.reason, entry.who) == ("digits confused", "EB")


def test_two_who_give_reasons_are_told_apart() -> None:
    entry = one('| 1=3:2!3:5"a\n"a EB: digits confused\n"a MR: or a blot')
    assert (entry.reason, entry.who) == ("digits confused (EB); or a blot (MR)", "EB, MR")


def test_a_reason_before_the_event_is_that_of_all_that_was_done_there() -> None:
    music = '| "a1!=3:2!,2:1!,1:0\n"a EB: torn'
    assert [(entry.subject, entry.reason) for entry in acts(music)] == [
        (RHYTHM, "torn"),
        (SIGN, "torn"),
        (SIGN, "torn"),
    ]


def test_the_nearer_reason_wins() -> None:
    music = '| "a1=3:2!"b,2:1!\n"a EB: torn\n"b EB: by the sequence'
    assert {entry.course: entry.reason for entry in acts(music)} == {3: "by the sequence", 2: "torn"}


def test_a_note_where_nothing_was_done_is_a_remark() -> None:
    entry = one('| 1=3:2"a\n"a EB: sic')
    assert (entry.kind, entry.here, entry.reason, entry.who) == (Kind.REMARK, "2", "sic", "EB")


def test_a_printed_word_is_no_act() -> None:
    assert acts('| "a1=3:2\n"a : adagio') == ()


# --- whole bars, lines between bars -------------------------------------------------------------------------


def test_a_whole_bar_of_the_copy_text_is_emended_with_its_reason() -> None:
    entry = one('| 2=3:2 3:0\n! 1=3:2 2=3:0\n" EB: too long')
    assert (entry.kind, entry.subject, entry.source) == (Kind.EMENDED, Subject.BAR, "for event 1: a semibreve")
    assert (entry.reason, entry.siglum) == ("too long", "")


def test_a_whole_bar_of_another_source_is_a_variant() -> None:
    variant, remark = acts('| 2=3:2 3:0\n!B 2.=3:2 4=3:0\n" EB: worn')
    assert (variant.kind, variant.siglum, variant.source) == (
        Kind.VARIANT,
        "B",
        "for events 1–2: a dotted minim; a crotchet",
    )
    assert (remark.kind, remark.reason) == (Kind.REMARK, "worn")


def test_a_ditto_is_one_act_however_many_bars() -> None:
    music = "| 1=3:2!\n| 1=3:3\n| ditto 2"
    found = acts(music)
    assert [(e.at, e.kind) for e in found] == [("b1e1c3", Kind.ADDED), ("b3", Kind.WRITTEN_OUT)]
    assert found[1].source == "not written out in the source: as the 2 bars before"


def test_bars_torn_away_have_their_numbers() -> None:
    entry = one('| 1=3:2\ngap 2 bars, corner torn\n" EB: so in the photograph\n| 1=3:2')
    assert (entry.bar, entry.kind, entry.source, entry.reason) == (
        "2–3",
        Kind.LOST,
        "2 bars, corner torn",
        "so in the photograph",
    )


# --- other sources ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("music", "source", "reason"),
    [
        ('| 1=4:3!4:5"a\n"a !B 4:3', "3", "agrees with the edition"),
        ('| 1=4:3!4:5"a\n"a !B 4:5', "5", "agrees with the copy-text"),
        ('| 1=4:3"a\n"a !B 5:3', "3 on the fifth course", ""),
        ('| 1=4:3"a\n"a !B smudged', "smudged", ""),
        ('| 1"a=4:3\n"a !B 2', "minim", ""),
        ('| 1=4:3"a\n"a !B X,4:2', "X with 2 on the fourth course", ""),
        (
            '| 1"a=4:3\n"a !B 2=X,4:2,3:3 -',
            "minim X with 2 on the fourth course and 3 on the third course; nothing",
            "",
        ),
    ],
)
def test_a_reading_of_another_source(music: str, source: str, reason: str) -> None:
    entry = next(entry for entry in acts(music) if entry.kind is Kind.VARIANT)
    assert (entry.siglum, entry.source, entry.reason) == ("B", source, reason)


# --- what is read into it -----------------------------------------------------------------------------------


def test_a_pin_is_one_entry_for_all_its_stops() -> None:
    entry = next(e for e in acts('| 2=3:2"a 3:3"a\n"a > voice 1, lasts 2') if e.kind is Kind.PINNED)
    assert (entry.at, entry.also, entry.here) == ("b1e1c3", ("b1e2c3",), "voice 1, lasts 2")


def test_a_pin_that_lasts_to_a_sign_names_its_event() -> None:
    entry = next(e for e in acts('| 2=5:0"a 4=3:3 3:2"b\n"a > lasts to b') if e.kind is Kind.PINNED)
    assert entry.here == "lasts to event 3"


def test_a_restored_octave_names_both_pitches() -> None:
    """Fret 0 of course 1 on a theorbo in A sounds A3 (PS: Spencer 1976); an octave above is A4 (calc)."""
    entries = report('| 2=1:0"a 3:2\n"a > octave up').entries
    (octave,) = [entry for entry in entries if entry.kind is Kind.RESTORED and entry.at == "b1e1c1"]
    assert (str(octave.sounds), str(octave.meant), octave.source, octave.here) == ("A3", "A4", "sounds A3", "A4")
    assert octave.reason == "an octave above, fixed by the editor"


# --- lines beside the tablature -----------------------------------------------------------------------------


def test_notes_and_words_of_a_line() -> None:
    heading = HEADING + "layer v = Canto, clef C1, 1 flat\n"
    music = '| 1=3:2\nv 4=D5! E!F"a _E 8!4=- G5\n1 Du- ri"b _ pian-\n"a EB: as in the bass\n"b EB: duri in the source'
    found = [e for e in acts(music, heading) if e.part]
    assert [(e.at, e.part, e.event, e.subject, e.kind, e.source, e.here, e.reason) for e in found] == [
        ("v-b1n1", "Canto", 1, Subject.NOTE, Kind.ADDED, "nothing", "D5", ""),
        ("v-b1n2", "Canto", 2, Subject.NOTE, Kind.EMENDED, "F", "E", "as in the bass"),
        ("v-b1n4", "Canto", 4, RHYTHM, Kind.EMENDED, "crotchet", "quaver", ""),
        ("b1", "Canto, stanza 1", 2, Subject.WORDS, Kind.REMARK, "", "“ri”", "duri in the source"),
    ]


# --- the page of the source ---------------------------------------------------------------------------------


def test_the_folio_in_force() -> None:
    music = "&3v\n| 1=3:2!\n| 2=3:2! &4r 3:3!\n| 1=3:2!"
    assert [(e.bar, e.event, e.folio) for e in acts(music)] == [
        ("1", 1, "3v"),
        ("2", 1, "3v"),
        ("2", 2, "4r"),
        ("3", 1, "4r"),
    ]


# --- the statement ------------------------------------------------------------------------------------------


def test_the_statement_counts_what_is_there() -> None:
    made_ = report('| 2=3:2!3:5"a 3:1!\n"a EB: worn\n"a !B 3:2').statement
    assert made_.facts[0] == "The text follows A: Print."
    assert made_.facts[1] == "B, Copy, is collated: 1 reading given."
    assert "Changed by the editor: 1 sign emended; 1 sign added." in made_.decisions
    assert "No reason is given for 1 of these changes." in made_.decisions


def test_the_statement_of_an_untouched_piece() -> None:
    made_ = report("| 1=3:2", made.HEADING).statement
    assert made_.facts[0] == "No source is declared."
    assert "Nothing is changed against the source." in made_.decisions
    assert made_.signs == ()


def test_halved_values_are_said() -> None:
    made_ = report("| 1=3:2", HEADING + "values 1:2\n").statement
    assert made_.decisions[0] == "The staves are written with the note values of the source halved."


def test_nothing_at_all() -> None:
    assert report("", made.HEADING).entries == ()


def test_a_source_that_omits_a_bar_an_event_a_stop() -> None:
    assert said(one("| 1=3:2\n!B omits")) == (0, 0, Subject.BAR, Kind.VARIANT, "nothing", "the bar")
    omitted = one('| "a1=7,3:2\n"a !B omits')
    assert (omitted.subject, omitted.kind, omitted.source, omitted.was) == (Subject.EVENT, Kind.VARIANT, "nothing", ())
    assert said(one('| 1=7,3:2"a\n"a !B omits')) == (1, 3, SIGN, Kind.VARIANT, "nothing", "2")


def test_another_chord_in_another_source() -> None:
    entry = one('| 2=7,3:2 "a2=8,3:3\n"a !B 8,4:2,3:3')
    chord = "8 with 2 on the fourth course and 3 on the third course"
    assert said(entry)[:5] == (2, 0, Subject.EVENT, Kind.VARIANT, chord)
    assert isinstance(entry.was, tuple)
    assert one('| 2=7,3:2 "a2=8,3:3\n"a !B 8,3:3').reason == "agrees with the edition"


def test_an_event_too_many_in_the_source_is_an_act() -> None:
    assert said(one("| 2=7,3:2 !3:3 8,3:0")) == (2, 3, SIGN, Kind.REMOVED, "3", "left out")
