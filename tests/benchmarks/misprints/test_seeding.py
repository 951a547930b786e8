"""The seeded errors are what the benchmark says they are: they change the music, one a bar, and can be read."""

from __future__ import annotations

from collections import Counter

from pipeline.desk.misprints.proposal import OF_MUSIC, OF_TIME, Slip
from pipeline.source.parse import parse
from tests.benchmarks.misprints.material import anthology
from tests.benchmarks.misprints.measure import bar_sums, count, proposed
from tests.benchmarks.misprints.seeding import firsts, music


def test_every_seed_spoils_its_own_bar_and_no_text_becomes_unreadable() -> None:
    kinds: Counter[Slip] = Counter()
    for piece in anthology():
        for seed in range(4):
            seeded = piece.seeded(seed, rate=0.3)
            right, wrong = music(seeded.right), music(seeded.piece)
            assert len(right) == len(wrong)
            clean = parse(piece.text, piece.inherited).diagnostics
            assert len(parse(seeded.text, piece.inherited).diagnostics) <= len(clean)
            for one in seeded.seeds:
                kinds[one.slip] += 1
                around = slice(one.first, one.end + 1)
                assert right[around] != wrong[around]
                if one.slip not in OF_TIME:
                    assert one.printed in wrong[one.event][1]  # type: ignore[operator]
                    assert one.right in right[one.event][1]  # type: ignore[operator]
            spoilt = [place for one in seeded.seeds for place in range(one.first, one.end)]
            assert len(spoilt) == len(set(spoilt)), "two errors in one bar"
            stops = [row[1] for row in right]
            for place, row in enumerate(wrong):
                assert place in spoilt or row[1] == stops[place]
    assert set(kinds) == set(OF_MUSIC)


def test_counting() -> None:
    """Nothing seeded, nothing found, and every bar is clean; all rhythm errors are found by the sums of their bars."""
    for piece in anthology():
        none = piece.seeded(0, rate=0.0)
        counts = count("", none, [])
        assert counts.clean == len(none.piece.bars) == len(firsts(none.piece)) - 1
        assert not counts.seeds
        seeded = piece.seeded(1, rate=0.2)
        for alarms in (bar_sums(seeded), proposed(seeded, piece.inherited)):
            found = count("", seeded, alarms).seeds
            for slip in OF_MUSIC:
                assert (
                    found[slip, "first"] <= found[slip, "among three"] <= found[slip, "found"] <= found[slip, "seeds"]
                )
