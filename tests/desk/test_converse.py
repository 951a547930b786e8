"""What an editor is told at a place: hover, choices, outline, leads, pitches, and changes of the text."""

from __future__ import annotations

import pytest

from pipeline.desk.converse.choices import choices
from pipeline.desk.converse.fixes import fixes
from pipeline.desk.converse.hover import UNREAD, hover
from pipeline.desk.converse.leads import leads
from pipeline.desk.converse.look import heading_findings
from pipeline.desk.converse.outline import outline
from pipeline.desk.converse.pins import pins_at
from pipeline.desk.converse.pitches import names, pitches
from pipeline.desk.converse.record import FixKind, Insight, Part
from pipeline.desk.misprints.proposals import proposals_of
from pipeline.findings.codes import ALL, whole_piece
from pipeline.model.presets import PRESETS
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from tests.desk.conversing import HEADING, at, looked, made, read, source

MUSIC = """section Prima
| 2=X,4:2,3:3,2:1 4=3:5 3:6
v 2=D5 E5
1 A- mor
| ditto
| ditto Prima 1
section Seconda
| 4.=11,4:0,3:5"a'T 8=3:3 2='r=6:0
"a EB: so in the source
| 1=X,4:2,3:3,2:1 |||
again Prima
"""
TEXT = HEADING + MUSIC.replace(" 2='r=6:0", " 2'r=6:0,5:2")


def says(text: str, typed: str, inside: int = 0, *, known: bool = True) -> str:
    """All that is said at a place."""
    look = looked(text)
    insight: Insight | None = read(text)[1] if known else None
    told = hover(look, names(look, insight), insight, *at(text, typed, inside))
    return "" if told is None else " ".join(told.says)


# --- hover --------------------------------------------------------------------------------------------------


def test_a_stop_says_what_sounds_on_which_string_in_which_voice_how_long_and_why() -> None:
    said = says(TEXT, "4=3:5", 2)
    # Course 3 of the theorbo in A is B3 (model/presets.py, PS Spencer): five frets above it is E4.
    assert "**E4**: fret 5 on the third course, tuned B3" in said
    assert "Voice 1 of 2, lasts a crotchet (1/4)." in said
    assert "Its voice comes from the chord of D4." in said
    assert "Bar 1, event 2, 1/2 after its beginning." in said


def test_a_step_from_note_to_note_says_how_likely_it_is_and_a_note_of_a_chord_whose_it_is() -> None:
    assert "Its voice comes from E4, 9" in says(TEXT, "3:6") and "% likely." in says(TEXT, "3:6")
    assert "It stands in the chord of D4." in says(TEXT, "4:2,3:3")


def test_before_the_voices_are_read_the_facts_are_said_and_that_the_rest_is_to_come() -> None:
    said = says(TEXT, "4=3:5", 2, known=False)
    assert "**E4**" in said and UNREAD in said and "Voice" not in said


@pytest.mark.parametrize(
    ("typed", "inside", "expected"),
    [
        ("X,4:2", 0, "**D2**: open on the tenth course, tuned D2"),
        ("2=X", 0, "**Minim**, printed here: it takes 1/2 of a semibreve in the edition."),
        ("4.=11", 1, "**Dotted crotchet**"),
        ("2'r=6", 0, "`'r` arpeggio."),
        ('3:5"a', 0, "`'T` t: trill."),
        ('3:5"a', 4, '`"a EB: so in the source`'),
        ("ditto", 0, "Bar 2 is the same as bar 1: `| 2=X,4:2,3:3,2:1 4=3:5 3:6`"),
        ("instrument", 0, "Over the fingerboard: 1 A3, 2 E3, 3 B3, 4 G3, 5 D3, 6 A2"),
        ("D5", 0, "Canto: **D5**, a minim (1/2)."),
        ("mor", 0, "“mor” on E5"),
    ],
)
def test_other_signs_say_what_they_are(typed: str, inside: int, expected: str) -> None:
    assert expected in says(TEXT, typed, inside)


def test_a_place_with_nothing_on_it_says_nothing() -> None:
    assert says(TEXT, "again Prima") == says(TEXT, "title") == ""


def test_what_the_edition_leaves_out_or_nobody_can_read_does_not_sound() -> None:
    assert "leaves it out" in says(HEADING + "| 1=3:2,!4:5", "!4:5")
    assert "Illegible" in says(HEADING + "| 1=3:2,?", ",?", 1)
    assert "cannot be read" in says(HEADING + "| 1=3:?", "3:?")


def test_an_emended_stop_says_what_the_source_has() -> None:
    assert "In the source: `3:2!3:5`" in says(HEADING + "| 1=3:2!3:5", "3:2!3:5")


def test_an_octave_that_is_in_question_says_so() -> None:
    text = whole_piece(ALL["octave-doubtful"].faulty)
    finding = next(one for one in read(text)[0] if one.code.slug == "octave-doubtful")
    look, insight = looked(text), read(text)[1]
    told = hover(look, names(look, insight), insight, finding.span.line, finding.span.start)
    assert told is not None and "may mean" in " ".join(told.says) and "not applied" in " ".join(told.says)


# --- leads --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "inside", "leads_to"),
    [
        ("| ditto\n", 3, "| 2=X"),
        ("ditto Prima", 7, "| 2=X"),
        ('3:5"a', 4, '"a EB: so'),
        ('"a EB', 0, "\"a'T"),
        ("again Prima", 7, "section Prima"),
        ("EB: so", 0, "editor EB"),
        ("'T 8", 1, "mark T"),
        ("v 2=D5", 0, "layer v"),
    ],
)
def test_what_leads_where(typed: str, inside: int, leads_to: str) -> None:
    found = leads(looked(TEXT), *at(TEXT, typed, inside))
    assert [(lead.target.line, lead.target.start) for lead in found] == [at(TEXT, leads_to)]


def test_a_stop_leads_nowhere() -> None:
    assert leads(looked(TEXT), *at(TEXT, "3:6")) == ()


# --- outline and pitches ------------------------------------------------------------------------------------


def test_the_outline_names_heading_sections_and_bars_with_the_lines_under_them() -> None:
    heading, first, second = outline(looked(TEXT))
    assert (heading.part, heading.name, heading.says) == (Part.HEADING, "Heading", "Trial")
    assert [(one.name, [bar.name for bar in one.inside]) for one in (first, second)] == [
        ("Prima", ["Bar 1", "Bar 2", "Bar 3"]),
        ("Seconda", ["Bar 4", "Bar 5"]),
    ]
    assert first.inside[0].last_line == at(TEXT, "1 A- mor")[0]
    assert second.last_line == at(TEXT, "| 1=X")[0]


def test_pitches_stand_behind_each_event_from_the_bass_up() -> None:
    look = looked(TEXT)
    line = at(TEXT, "| 2=X")[0]
    # D2 of the tenth course, G3 + 2, B3 + 3, E3 + 1 (theorbo in A).
    assert [one.names for one in pitches(look, names(look, None), line, line)] == ["D2 F3 A3 D4", "E4", "F4"]
    assert pitches(look, names(look, None), 1, 5) == ()


def test_no_pitch_is_shown_that_is_not_claimed() -> None:
    text = "longneck 1\ninstrument bandora\n\n| 1=3:2\n"
    look = looked(text)
    assert pitches(look, names(look, None), 1, 9) == ()


# --- choices ------------------------------------------------------------------------------------------------


def chosen(text: str, line: str) -> list[str]:
    """What is offered at the end of a line that is typed after the text."""
    whole = f"{text}{line}"
    return [one.text.strip() for one in choices(looked(whole), whole.count("\n") + 1, len(line) + 1)]


def test_a_line_begins_with_what_may_stand_there() -> None:
    assert chosen("longneck 1\n", "ins") == ["instrument"]
    assert chosen(TEXT, "sec") == ["section"]
    assert "title" not in chosen(TEXT, "t")
    assert chosen("", "l") == ["longneck 1"]


def test_instruments_are_those_that_are_known() -> None:
    assert chosen("longneck 1\n", "instrument ") == [preset.name for preset in PRESETS]
    assert chosen("longneck 1\n", "instrument lute in G, 7") == ["lute in G, 7 courses", "lute in G, 7 courses, low D"]


def test_sections_are_those_of_the_piece() -> None:
    assert chosen(TEXT, "again ") == ["start", "Prima", "Seconda"]
    assert chosen(TEXT, "| ditto Se") == ["Seconda"]


def test_marks_are_those_of_the_place_and_those_declared() -> None:
    over, stop = chosen(TEXT, "| 2'"), chosen(TEXT, "| 2=3:2'")
    assert {"r", "f", "T"} <= set(over) and "h" not in over
    assert {"h", "1", "T"} <= set(stop) and "r" not in stop


def test_labels_are_those_that_lack_a_sign_or_a_note() -> None:
    text = f'{HEADING}| 4=3:2"\n"b EB: a reason\n'
    line, column = at(text, '3:2"', 4)
    assert [one.text for one in choices(looked(text), line, column)] == ["b", "c"]
    assert chosen(f'{HEADING}| 4=3:2"c 3:3\n', '"') == ['"c']


def test_a_note_is_said_by_those_who_are_declared() -> None:
    assert chosen(f'{HEADING}| 4=3:2"a\n', '"a ') == ["EB:", ":", ">", "!A", "!B"]
    assert "octave up" in chosen(f'{HEADING}| 4=3:2"a\n', '"a > o')


def test_kinds_of_findings_and_their_levels() -> None:
    assert "bar-too-short =" in chosen("longneck 1\n", "severity bar-too")
    assert chosen("longneck 1\n", "severity bar-too-short = n") == ["note"]


# --- changes ------------------------------------------------------------------------------------------------


def offered(text: str, slug: str) -> list[str]:
    """The texts that the quick fixes of a finding make."""
    found, insight = read(text)
    finding = next(one for one in found if one.code.slug == slug)
    place = (finding.span.line, finding.span.start)
    fixed = fixes(looked(text), text, found, insight, (), place, (finding.span.line, finding.span.end))
    return [made(text, fix) for fix in fixed if fix.code == slug]


@pytest.mark.parametrize(
    ("slug", "before", "after"),
    [
        ("syntax", "| 2=X;4:2 3:3", "| 2=X,4:2 3:3"),
        ("syntax", "| 2=3:O 3:3", "| 2=3:0 3:3"),
        ("foreign-sign", "| 2=Х,4:2 3:3", "| 2=X,4:2 3:3"),
        ("ditto", "| 1=3:2\n| dito", "| 1=3:2\n| ditto"),
        ("unknown-line", "| 1=3:2\nsecton Prima", "| 1=3:2\nsection Prima"),
        ("note-without-label", '| 1=3:2"a\n"b EB: a reason', '| 1=3:2"a\n"a EB: a reason'),
        ("shorthand", "| 2=3:2 :3", "| 2=3:2 3:3"),
        ("bar-too-short", "| 4=3:2 3:3 3:5 8=3:6", "| 4=3:2 3:3 3:5 4=3:6"),
        ("bar-too-short", "| 4=3:2 3:3 3:5 8=3:6", "| 4=3:2 3:3 3:5 4!8=3:6"),
    ],
)
def test_a_hint_becomes_a_change_that_mends(slug: str, before: str, after: str) -> None:
    assert f"{HEADING}{after}\n" in offered(f"{HEADING}{before}\n", slug)


def test_hints_that_change_the_heading() -> None:
    bars = "| 1=3:2\n| 1=3:3\n| 1=3:5\n" * 3
    text = HEADING.replace("metre C", "metre 3/2") + bars
    metres = offered(text, "metre-differs")
    assert metres and all("metre-differs" not in {one.code.slug for one in read(each)[0]} for each in metres)
    wrong = HEADING.replace("theorbo in A", "theorbo in") + "| 1=3:2\n"
    assert wrong.replace("theorbo in\n", "theorbo in A\n") in offered(wrong, "unknown-instrument")
    fretted = HEADING + "| 1=7:2\n"
    assert offered(fretted, "fretted-diapason") == [fretted.replace("in A\n", "in A\nstopped 7\n")]


def test_every_change_that_a_hint_offers_mends_its_finding() -> None:
    """Over the faulty example of every kind of finding."""
    seen = set()
    for code in ALL.values():
        text = whole_piece(code.faulty) if code.faulty else ""
        found = read(text)[0] if text else ()
        for finding in (one for one in found if one.code is code):
            line = finding.span.line
            for fix in fixes(looked(text), text, (finding,), None, (), (line, 1), (line, 999)):
                if fix.kind is not FixKind.HINT:
                    continue
                seen.add(code.slug)
                left = read(made(text, fix))[0]
                assert (code.slug, finding.message) not in {(one.code.slug, one.message) for one in left}, fix.title
    assert seen == {
        *("foreign-sign", "version", "shorthand", "unknown-instrument", "severity", "fretted-diapason"),
        *("bar-too-short", "metre-differs", "bass-scale"),
    }


def test_the_two_answers_to_a_question_of_octaves_settle_it() -> None:
    text = whole_piece(ALL["octave-doubtful"].faulty)
    up, kept = offered(text, "octave-doubtful")
    before = [one for one in read(text)[0] if one.code.slug == "octave-doubtful"]
    for answer, octave in ((up, 1), (kept, 0)):
        found, insight = read(answer)
        pinned = [
            note
            for note in insight.notes
            if note.why == ("Pinned by the editor.",) or "fixed by the editor" in str(note)
        ]
        assert pinned and all((note.meant != note.name) == bool(octave) for note in pinned)
        asked = [one for one in found if one.code.slug == "octave-doubtful"]
        assert before[0].span not in [one.span for one in asked]
        assert not [one for one in found if one.severity.value == "error"]


def test_a_pin_goes_on_the_note_line_that_a_stop_has_already() -> None:
    text = f'{HEADING}| 2=X,4:2,3:2"a 3:3\n"a > voice 1, lasts 2\n'
    pins = list(pins_at(looked(text), read(text)[1], *at(text, '3:2"a')))
    changed = [made(text, fix) for fix in pins]
    assert any('\n"a > voice 1, octave up, lasts 2\n' in one for one in changed)
    assert all(one.count('"a') == 2 for one in changed)


def test_a_probable_misprint_is_written_in_as_propose_writes_it() -> None:
    text = f"{HEADING}| 4=X,4:2,3:3 3:5 3:6 3:5\n| 4=X,4:2,3:3 3:5 8=3:6 3:5\n| 4=X,4:2,3:3 3:5 3:6 3:5\n"
    proposals = proposals_of(source(text), looked(text).piece)
    assert proposals
    place = proposals[0].suspicion.span
    found = fixes(looked(text), text, (), None, proposals, (place.line, 1), (place.line, 999))
    fixed = [made(text, fix) for fix in found if fix.kind is FixKind.MISPRINT]
    assert fixed and all('"a EB: ' in one for one in fixed)


def test_a_heading_by_itself_has_the_findings_in_it_and_no_others() -> None:
    heading = source("longneck 1\ninstrument theorbo in A\nkey H major\nlayr v = Canto, clef C1\n")
    found = heading_findings(heading)
    assert [one.code.slug for one in found] == ["key", "unknown-line"]
    assert declare(parse(heading).value).diagnostics  # it is the key that cannot be declared
