"""Accepting a proposal: the text then says what was proposed, keeps what the source has, and nothing else changes."""

from __future__ import annotations

from itertools import chain

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.desk.misprints.accepting import NotAcceptedError, accepted, initials_for
from pipeline.desk.misprints.proposal import OF_TIME, Proposal, Slip
from pipeline.desk.misprints.proposals import proposals_of
from pipeline.model.signs import Act, Event
from pipeline.model.sounding import SoundingPiece
from pipeline.model.tablature import BarlineAct, Tablature
from pipeline.model.text import SourceText
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from tests.laws import rich
from tests.laws.music import metres, pieces

HEADING = "longneck 1\ntitle Trial\neditor EB = E. B.\ninstrument theorbo in A\nmetre C\n\n"
GROUND = """\
| 4=X,4:2,3:3,2:1 8=3:5 3:6 4=3:5 3:3
| 4=11,4:0,3:5 8=3:3 3:1 4=3:3 3:5
| 4=8,4:2,3:1 8=3:3 3:5 4=3:3 3:1
| 2=13,4:2,3:2,2:0 4=13,4:2,3:2 4:2
"""


def sounding(text: str) -> SoundingPiece:
    tablature = parse(SourceText.of("trial.intav", text)).value
    return resolve(tablature, declare(tablature).value).value


def offered(text: str) -> tuple[Proposal, ...]:
    return proposals_of(SourceText.of("trial.intav", text), sounding(text))


def written(text: str, proposal: Proposal, initials: str = "") -> str:
    return accepted(text, (), proposal, "trial.intav", initials)


def events(tablature: Tablature) -> list[Event]:
    return list(chain.from_iterable(bar.events for bar in tablature.bars))


def the_one(text: str) -> Proposal:
    found = [one for one in offered(text) if one.suspicion.rank == 1]
    assert len(found) == 1, [(one.suspicion.typed, one.suspicion.proposed) for one in found]
    return found[0]


BAD = {
    "sign missing": ("8=3:5 3:6 4=3:5", "3:5 3:6 4=3:5", "8!=3:5 3:6 4=3:5"),
    "sign wrong": ("8=3:5 3:6", "16=3:5 3:6", "8!16=3:5 3:6"),
    "sign too many": ("8=3:5 3:6 4=3:5", "8=3:5 4=3:6 4=3:5", "8=3:5 !4=3:6 4=3:5"),
    "figure": ("11,4:0,3:5", "11,4:0,3:3", "11,4:0,3:5!3:3"),
    "diapason": ("8,4:2,3:1", "7,4:2,3:1", "8!7,4:2,3:1"),
}


@pytest.mark.parametrize("case", BAD)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_the_emendation_stands_in_its_place_and_all_else_as_it_was(case: str, newline: str) -> None:
    good, bad, mended = BAD[case]
    text = (HEADING + GROUND * 3 + GROUND.replace(good, bad, 1)).replace("\n", newline)
    proposal = the_one(text)
    place = text.rindex(bad)
    assert written(text, proposal) == text[:place] + mended + text[place + len(bad) :]


def test_a_note_gives_the_reasons_under_the_bar() -> None:
    good, bad, _ = BAD["figure"]
    text = HEADING + GROUND * 3 + GROUND.replace(good, bad)
    proposal = the_one(text)
    changed = written(text, proposal, "EB")
    lines = changed.splitlines()
    at = next(number for number, line in enumerate(lines) if '3:5!3:3"a' in line)
    assert lines[at + 1] == '"a EB: ' + ", ".join(proposal.suspicion.reasons)
    assert not parse(SourceText.of("trial.intav", changed)).diagnostics


def test_a_note_takes_a_letter_that_is_free_and_goes_behind_the_others() -> None:
    _, bad, _ = BAD["figure"]
    bar = f'| 4={bad}"a 8=3:3 3:1 4=3:3"c 3:5 ; by candle light\n"a EB: one\n"c EB: two\n; the next page is torn\n'
    text = HEADING + GROUND * 3 + GROUND.replace("| 4=11,4:0,3:5 8=3:3 3:1 4=3:3 3:5\n", bar)
    changed = written(text, the_one(text), "EB")
    assert '4=11,4:0,3:5!3:3"d"a 8=3:3 3:1 4=3:3"c 3:5 ; by candle light\n"a EB: one\n"c EB: two\n"d EB: ' in changed
    assert changed.count("; the next page is torn\n") == 1
    assert not parse(SourceText.of("trial.intav", changed)).diagnostics


def test_bar_lines() -> None:
    lines = GROUND.splitlines(keepends=True)
    joined = HEADING + GROUND * 2 + lines[0].rstrip() + " " + lines[1][2:] + "".join(lines[2:])
    changed = written(joined, the_one(joined))
    assert changed == HEADING + GROUND * 2 + lines[0].rstrip() + " |!\n| " + lines[1][2:] + "".join(lines[2:])
    parted = HEADING + GROUND * 2 + "| 4=X,4:2,3:3,2:1 8=3:5 3:6\n| 4=3:5 3:3\n" + "".join(lines[1:])
    changed = written(parted, the_one(parted), "EB")
    tablature = parse(SourceText.of("trial.intav", changed))
    assert not tablature.diagnostics
    assert len(tablature.value.bars) == 12
    inside = [item for item in tablature.value.bars[8].items if not isinstance(item, Event)]
    assert [getattr(item, "act", None) for item in inside] == [BarlineAct.REMOVED]


def test_marks_beams_labels_and_a_shorthand_stay() -> None:
    text = (
        HEADING + '| "a8\'f=4:2 :3 4:2 _=4:3 4:2 4:3 4:2\n"a : adagio\n' + "| 8=4:2 4:3 4:2 4:3 4:2 4:3 4:2 4:3\n" * 4
    )
    found = offered(text)
    assert found
    for proposal in found:
        changed = written(text, proposal)
        assert changed.replace(proposal.suspicion.proposed, proposal.suspicion.typed, 1) == text


def test_a_stop_that_leaves_out_its_course_gets_it_where_the_one_before_moves() -> None:
    bar = "| 4=4:2 :3 3:0 3:2\n"
    text = HEADING + bar * 4 + bar.replace("4:2 :3", "5:2 4:3") + bar.replace("4=4:2 :3", "4=5:2 :3")
    tablature = parse(SourceText.of("trial.intav", text)).value
    assert tablature.bars[-1].events[1].stops[0].sign is not None
    for proposal in offered(text):
        before, after = events(tablature), events(parse(SourceText.of("trial.intav", written(text, proposal))).value)
        moved = [
            number
            for number, (old, new) in enumerate(zip(before, after, strict=True))
            if [stop.sign.course for stop in old.stops if stop.sign]
            != [stop.sign.course for stop in new.stops if stop.sign]
        ]
        assert len(moved) <= 1


def test_a_text_that_has_changed_is_refused() -> None:
    good, bad, _ = BAD["figure"]
    text = HEADING + GROUND * 3 + GROUND.replace(good, bad)
    proposal = the_one(text)
    for other in (text.replace(bad, good), HEADING, "", text.replace("metre C\n", "metre C\nkey D minor\n")):
        with pytest.raises(NotAcceptedError, match=r"fit|read"):
            written(other, proposal)


def test_names_stay_while_other_bars_change() -> None:
    good, bad, _ = BAD["figure"]
    text = HEADING + GROUND * 3 + GROUND.replace(good, bad)
    name = the_one(text).id
    longer = HEADING + "| 1=X\n" + GROUND * 2 + "| 1=7,3:0\n\nsection Altra\n" + GROUND + GROUND.replace(good, bad)
    spaced = text.replace(f"| 4={bad}", f"|   4={bad}  ")
    for other in (longer, spaced, text.replace("Trial", "Another")):
        assert name in {one.id for one in offered(other)}
    assert len(name) == 5
    assert the_one(HEADING + GROUND * 3 + GROUND.replace(good, bad).replace("3:3 3:1 4", "3:3 3:0 4")).id != name


def test_whose_note() -> None:
    one, two, none = (
        sounding(HEADING + GROUND),
        sounding(HEADING.replace("editor EB = E. B.\n", "editor EB = E. B.\neditor MR = M. R.\n") + GROUND),
        sounding(HEADING.replace("editor EB = E. B.\n", "") + GROUND),
    )
    assert [initials_for(piece, "") for piece in (one, two, none)] == ["EB", "", ""]
    assert initials_for(two, "MR") == "MR"
    with pytest.raises(NotAcceptedError, match="no editor XY is declared; the declared editors are EB, MR"):
        initials_for(two, "XY")
    with pytest.raises(NotAcceptedError, match="type editor XY"):
        initials_for(none, "XY")


# --- laws ------------------------------------------------------------------------------------------------

FEW = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@FEW
@given(music=pieces, metre=metres, note=st.booleans())
def test_accepted_the_edition_reads_as_proposed_and_the_source_as_before(music: str, metre: str, note: bool) -> None:
    text = HEADING.replace("metre C", f"metre {metre}") + music + "\n"
    before = parse(SourceText.of("trial.intav", text)).value
    for proposal in offered(text):
        suspicion = proposal.suspicion
        if suspicion.by_hand:
            continue
        after = parse(SourceText.of("trial.intav", written(text, proposal, "EB" if note else "")))
        assert not after.diagnostics
        old, new = events(before), events(after.value)
        assert len(old) == len(new)
        number = _place(sounding(text), suspicion.event)
        for place, (one, other) in enumerate(zip(old, new, strict=True)):
            if place != number or suspicion.slip in (Slip.BAR_LINE_EXTRA, Slip.BAR_LINE_MISSING):
                assert _read(one) == _read(other)
        _holds_both(suspicion.slip, old[number], new[number], suspicion.stop)


def _place(piece: SoundingPiece, event_id: str) -> int:
    return [event.id for bar in piece.bars for event in bar.events].index(event_id)


def _read(event: Event) -> tuple[object, ...]:
    value = event.head.value if event.head else None
    return (value, event.body, *(stop.reading for stop in event.stops))


def _holds_both(slip: Slip, old: Event, new: Event, stop_id: str) -> None:
    """The source's reading is what stood there; the edition's is another."""
    if slip in (Slip.BAR_LINE_EXTRA, Slip.BAR_LINE_MISSING):
        return
    if slip in OF_TIME:
        was, now = old.head.value if old.head else None, new.head.value if new.head else None
        assert now is not None
        assert now.source == (was.edition if was else None)
        assert now.edition != now.source
        assert now.act is {
            Slip.SIGN_MISSING: Act.ADDED, Slip.SIGN_WRONG: Act.EMENDED, Slip.SIGN_EXTRA: Act.REMOVED
        }[slip]  # fmt: skip
        return
    changed = [
        (one.reading, other.reading)
        for one, other in zip(old.stops, new.stops, strict=True)
        if one.reading != other.reading
    ]
    ((was_stop, now_stop),) = changed
    assert now_stop.act is Act.EMENDED
    assert now_stop.source == was_stop.edition
    assert now_stop.edition != now_stop.source
    assert stop_id.endswith(f"c{was_stop.edition.course if was_stop.edition else ''}")


SCRAPS = st.lists(
    st.sampled_from(
        ["| 4=3:2 :3", "|> 'n=3:2 _3:3", "| ditto 2", "| -", "| 4==", "|< 8/3=X>4:2>3:3", "+ & 2=?:2,*", "| 3:", "|",
         "gap 2 bars", "section A", "| ditto A 1", "metre 3/2", "metre none", "retune 8 = F#2", "signs french", "| 3c",
         "| 4!8\"a=3:2!3:5", "\"a XY: z", "v 2=D5", "! 2=X", "| 64=1:0 |!", "| 4*=3:*,?:2 ||", "again A", "ending 1",
         "| 4=7- 5:-", "| 4=15,0:3,1:99", "&4r", "; note", "opens ||.", "\ufeff", "| 8='T"]
    ),
    max_size=14,
)  # fmt: skip


@FEW
@given(lines=SCRAPS, heading=st.sampled_from(["", HEADING, HEADING + "signs french\n", "longneck 2\n"]))
def test_odd_texts_never_break_the_search(lines: list[str], heading: str) -> None:
    text = heading + "\n".join(lines)
    for proposal in offered(text):
        try:
            changed = written(text, proposal)
        except NotAcceptedError:
            continue
        assert changed != text


@FEW
@given(music=rich.music, heading=rich.headings)
def test_every_sign_of_a_page_may_stand_around(music: str, heading: str) -> None:
    text = heading + music + "\n"
    for proposal in offered(text):
        try:
            changed = written(text, proposal, "EB")
        except NotAcceptedError:
            continue
        assert len(parse(SourceText.of("trial.intav", changed)).diagnostics) <= len(
            parse(SourceText.of("trial.intav", text)).diagnostics
        )


@FEW
@given(text=st.text(st.sampled_from("|:=,>_'!?*-\".+&/ 0123456789Xabcs\n"), max_size=120))
def test_any_text_never_breaks_the_search(text: str) -> None:
    for proposal in offered(HEADING + text):
        assert 0.0 <= proposal.suspicion.chance <= 1.0
