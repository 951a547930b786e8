"""Which events of a bar stand in the edition."""

from __future__ import annotations

from pipeline.model.sounding import SoundingBar, SoundingEvent


def shown(bar: SoundingBar) -> tuple[tuple[SoundingEvent, tuple[SoundingEvent, ...]], ...]:
    """The events that stand in the edition, each with those left out just before it; what is left out at the end of the
    bar goes with the last."""
    kept: list[tuple[SoundingEvent, tuple[SoundingEvent, ...]]] = []
    gone: tuple[SoundingEvent, ...] = ()
    for event in bar.events:
        if event.left_out:
            gone = (*gone, event)
        else:
            kept.append((event, gone))
            gone = ()
    if gone and kept:
        last, before = kept[-1]
        kept[-1] = (last, (*before, *gone))
    return tuple(kept)
