"""Laws of the notation: nothing lost, nothing invented, every bar adds up. Source: common practice, no source."""

from __future__ import annotations

from collections import Counter

from hypothesis import assume, given, settings

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.findings.codes.music import GROUP_INCOMPLETE
from pipeline.model.notes import Kind
from pipeline.model.score import Score
from pipeline.model.voiced import VoicedPiece
from tests.laws.music import metres, pieces
from tests.made import resolved


def made(music: str, metre: str) -> tuple[VoicedPiece, Score]:
    piece, _ = resolved(music, f"longneck 1\ntitle Law\ninstrument theorbo in A\nmetre {metre}\n")
    voiced = spell(lead(piece))
    return voiced, notate(voiced)


@settings(max_examples=150, deadline=None)
@given(pieces, metres)
def test_every_bar_adds_up_in_every_voice(music: str, metre: str) -> None:
    _, score = made(music, metre)
    for measure in score.measures:
        assert sum(event.ticks for event in measure.tab) == measure.ticks
        for layer in measure.layers:
            at = measure.onset
            for event in layer.events:
                assert event.onset == at
                assert event.ticks > 0
                at += event.ticks
            assert at == measure.onset + measure.ticks


@settings(max_examples=150, deadline=None)
@given(pieces, metres)
def test_written_values_are_the_lengths(music: str, metre: str) -> None:
    """The note values written, groups counted, are the lengths that they stand for. Broken groups are a fault of
    the typing, reported as such; nothing can be written rightly behind them."""
    _, found = resolved(music)
    assume(not any(finding.code is GROUP_INCOMPLETE for finding in found))
    _, score = made(music, metre)
    for measure in score.measures:
        for layer in measure.layers:
            for event in layer.events:
                if event.whole_bar or event.kind is Kind.SPACE:
                    continue
                factor = (event.tuplet.time, event.tuplet.notes) if event.tuplet else (1, 1)
                assert event.value.ticks * factor[0] == event.ticks * factor[1]


@settings(max_examples=150, deadline=None)
@given(pieces, metres)
def test_no_note_is_lost(music: str, metre: str) -> None:
    voiced, score = made(music, metre)
    struck = Counter(
        stop.id for bar in voiced.sounding.bars for event in bar.events for stop in event.stops if not stop.held
    )
    assert Counter(note.led.id for note in voiced.notes) == struck
    first_heads = Counter(
        head.stop
        for measure in score.measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
        if not head.tie_to
    )
    assert first_heads == struck


@settings(max_examples=150, deadline=None)
@given(pieces, metres)
def test_tied_heads_last_as_long_as_the_note(music: str, metre: str) -> None:
    voiced, score = made(music, metre)
    lengths: Counter[str] = Counter()
    for measure in score.measures:
        for layer in measure.layers:
            for event in layer.events:
                for head in event.heads:
                    lengths[head.stop] += event.ticks
    assert lengths == Counter({note.led.id: note.led.length for note in voiced.notes})


@settings(max_examples=100, deadline=None)
@given(pieces, metres)
def test_ids_are_unique(music: str, metre: str) -> None:
    _, score = made(music, metre)
    ids = Counter(
        [measure.id for measure in score.measures]
        + [event.id for measure in score.measures for event in measure.tab]
        + [figure.id for measure in score.measures for event in measure.tab for figure in event.figures]
        + [event.id for measure in score.measures for layer in measure.layers for event in layer.events]
        + [
            head.id
            for measure in score.measures
            for layer in measure.layers
            for event in layer.events
            for head in event.heads
        ]
    )
    assert max(ids.values()) == 1
