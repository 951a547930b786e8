"""Laws of the checks: they never break down, point into the text, and do not depend on what stands beside."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.source.checks import CHECKS, run_checks
from tests.made import resolved, text

HEADING = "longneck 1\ninstrument theorbo in A\nstrings 90 cm, 150 cm\npitch 440\nmetre C\n"

_FRETS = st.sampled_from(
    ["1:0", "2:3", "3:X", "3:8", "4:1", "5:12", "6:2", "7", "8", "X", "14", "15", "8:2", "5:-", "?:2"]
)
_STOPS = st.lists(st.tuples(st.sampled_from(["", "", "_", "!_"]), _FRETS), min_size=1, max_size=6).map(
    lambda stops: ",".join(slur + fret for slur, fret in stops)
)
_HEADS = st.sampled_from(["", "", "1=", "2=", "4.=", "8/3=", "_=", "16=", "?=", "!8=", "4'b=", "2'n="])
_EVENTS = st.one_of(st.builds("{}{}".format, _HEADS, _STOPS), st.sampled_from(["-", "4=-", "4==", "nonsense", "1:0'T"]))
_LINES = st.sampled_from(["", "", "|!", "!|", "||", "||.", ".||", ".||.", "|||", "|?"])
_BARS = st.builds(
    lambda begins, events, line: " ".join([begins, *events, line]).rstrip(),
    st.sampled_from(["|", "|", "|", "|<", "|>"]),
    st.lists(_EVENTS, min_size=1, max_size=8),
    _LINES,
)
_BETWEEN = st.sampled_from(
    ["ending 1", "ending 2", "ending end", "section Altra", "metre 3/2", "metre none", "retune 8 = F#2", "opens ||.",
     "gap 2 bars", "| ditto", "| ditto 2", "again start", "| -", "&4r"]
)  # fmt: skip
MUSIC = st.lists(st.one_of(_BARS, _BARS, _BETWEEN), max_size=12).map("\n".join)


@given(MUSIC)
@settings(max_examples=300, deadline=None)
def test_any_music_is_checked_and_every_place_lies_in_it(music: str) -> None:
    source = text(music, HEADING)
    piece, _ = resolved(music, HEADING)
    for finding in run_checks(piece):
        for span in (finding.span, *(other.span for other in finding.related)):
            assert span.file == source.name
            assert 1 <= span.start <= span.end <= len(source.line(span.line)) + 1
        assert finding.message and finding.hint
        assert finding.message.rstrip().endswith(".")


@given(MUSIC)
@settings(max_examples=50, deadline=None)
def test_checks_have_no_memory(music: str) -> None:
    piece, _ = resolved(music, HEADING)
    once = [list(check(piece)) for check in CHECKS]
    assert [list(check(piece)) for check in reversed(CHECKS)] == once[::-1]
