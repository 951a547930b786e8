"""What speaks for a misprint.

``STOPS``: for each kind of misprint of a stop what counts before anything is weighed, how far the judge's score is
trusted, how much the chance is shared with the other stops of the bar, and how much it falls in a piece whose stops
fit badly as they are; learned by ``python -m tests.benchmarks.misprints.learn_trust``.

``SIGNS``: what speaks for a change of sign or bar line, learned from seeded errors in arranged pieces of the training
part, in the order of ``signs.FEATURES``: ``python -m tests.benchmarks.misprints.learn_signs``."""

from __future__ import annotations

from pipeline.desk.misprints.proposal import Slip

STOPS: dict[Slip, tuple[float, float, float, float]] = {
    Slip.LINE_OFF: (-5.800, 0.598, -0.667, -0.808),
    Slip.FIGURE_CONFUSED: (-6.122, 0.717, -1.311, -1.271),
    Slip.DIAPASON_CONFUSED: (-7.477, 0.682, -0.659, -1.608),
}

SIGNS: tuple[float, ...] = (
    0.055,  # wrong
    -0.232,  # missing
    -0.711,  # extra
    3.603,  # line extra
    -1.923,  # line missing
    -0.762,  # one hook
    -1.386,  # more hooks
    -0.514,  # dots
    -0.486,  # dotted
    -0.514,  # double dotted
    0.097,  # missing at bar line
    -0.404,  # missing hooks
    -1.678,  # said again
    -0.291,  # said again, habit
    -1.510,  # bars lost
    1.300,  # bars won
    0.268,  # known rhythm
    0.102,  # place
    0.083,  # succession
    -0.639,  # off beat
    0.036,  # fullness
    0.189,  # bass
    0.190,  # elsewhere
    0.333,  # reach
    2.047,  # next sign early
    -0.337,  # extra at bar line
    0.000,  # doubtful
    0.000,  # unread
)
