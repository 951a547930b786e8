"""Random music with every sign that a page may hold: slurs, holds, editing, marks, words, repeats, retunings."""

from __future__ import annotations

from hypothesis import strategies as st

HEADING = """\
longneck 1
title Law
source A = Trial book
source B = Trial manuscript
editor EB = E. B.
instrument theorbo in A
course 7 = G2+G3
pitch 415
metre {metre}
mark T = "t" trill, above
mark M = "x" martellement, before
"""

_edits = st.sampled_from(["", "", "", "", "", "?", "!", "!?", "!*", "!3:5", "!?"])
_marks = st.sampled_from(["", "", "", "", "'T", "'M!", "'2i", "'p", "'!T", "'s", "'T?"])
_dots = st.sampled_from(["", "", "", ".", ".."])
_slurs = st.sampled_from(["", "", "", "_", "_", "_!", "!_"])
_frets = st.integers(0, 8).map(str)
_stopped = st.tuples(st.integers(1, 6), _slurs, _frets, _dots, _edits, _marks).map(
    lambda parts: (parts[0], f"{parts[1]}{parts[0]}:{parts[2]}{parts[3]}{parts[4]}{parts[5]}")
)
_open = st.tuples(st.integers(7, 14), st.sampled_from(["", "", "", "?", "!", "-"])).map(
    lambda parts: (parts[0], f"{'X' if parts[0] == 10 else parts[0]}{parts[1]}")
)
_others = st.integers(1, 6).flatmap(
    lambda course: st.sampled_from([f"{course}:-", f"!{course}:2", f"{course}:?", f"{course}:*", "?:2"]).map(
        lambda typed: (course, typed)
    )
)
_stops = st.lists(
    st.one_of(_stopped, _stopped, _stopped, _open, _others), min_size=1, max_size=4, unique_by=lambda stop: stop[0]
)
_chords = st.tuples(_stops, st.sampled_from([",", ",", ",", ">"])).map(
    lambda parts: parts[1].join(typed for _, typed in sorted(parts[0], reverse=True))
)
_bodies = st.one_of(_chords, _chords, _chords, _chords, st.sampled_from(["-", "=", "?", "*"]))
_values = st.sampled_from(
    ["1", "2", "4", "4.", "8", "8", "16", "4!", "8!4", "4?", "!8", "8/3", "16/5:4", "_16", "_8", ""]
)
_over = st.sampled_from(["", "", "", "", "'r", "'s", "'u", "'d", "'f", "'rf", "'b", "'e", "'n"])
_heads = st.tuples(_values, _over).map(lambda parts: "".join(parts) and f"{parts[0]}{parts[1]}=")
_events = st.tuples(st.one_of(st.just(""), st.just(""), _heads), _bodies).map("".join)
_words = st.one_of(*[_events] * 12, st.sampled_from(["&", "&4r", "!|", "rubbish"]))
_closings = st.sampled_from(["", "", "", " |!", " |?", " ||", " .||", " ||.", " .||.", " |-|", " |||"])
_openings = st.sampled_from(["|", "|", "|", "|<", "|>"])
_bars = st.tuples(_openings, st.lists(_words, min_size=1, max_size=7), _closings).map(
    lambda parts: f"{parts[0]} 4=3:0 {' '.join(parts[1])}{parts[2]}"
)
_under = st.sampled_from(["", "", "", '\n" EB: on the bar', '\n" : adagio', "\n! 4=3:0 3:2", "\n!B 2=X,3:2"])
_between = st.sampled_from(
    ["section Prima", "tempo Presto", "metre 3/2", "metre none", "metre C", "key G minor", "retune 8 = F#2",
     "retune 3 = C4", "ending 1", "ending 2", "ending end", "opens ||.", "again Prima", "gap 2 bars, torn", "&5v",
     "| ditto", "| ditto 2"]
)  # fmt: skip
_lines = st.one_of(*[st.tuples(_bars, _under).map("".join)] * 4, _between)
#: Music lines, not all of them without fault.
music = st.lists(_lines, min_size=1, max_size=7).map("\n".join)
headings = st.sampled_from(["C", "3", "3/2", "6/8", "none"]).map(lambda metre: HEADING.format(metre=metre))
