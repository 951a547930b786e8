"""One sign to its sounding pitch, or a refusal at the sign."""

from __future__ import annotations

from collections.abc import Iterable

from pipeline.findings.codes import music
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import Semitones
from pipeline.model.record import replace
from pipeline.model.signs import FretState, Sign, Slur, Stop
from pipeline.model.sounding import SoundingStop, stop_id


class Fingerboard:
    """Resolves the stops of a piece in order; remembers what each course last sounded, for hold lines."""

    def __init__(self) -> None:
        self._last: dict[int, SoundingStop] = {}
        self._instrument: Instrument | None = None
        self._pitches: dict[tuple[int, int], tuple[Semitones, ...]] = {}
        self.diagnostics: list[Diagnostic] = []

    def event(self, event_id: str, stops: tuple[Stop, ...], instrument: Instrument) -> tuple[SoundingStop, ...]:
        """All stops of an event that sound or hold, in typed order; none where the tuning is unknown."""
        if not instrument.courses:
            return ()
        found: list[SoundingStop] = []
        struck: dict[int, int] = {}
        order = 0
        for stop in stops:
            if stop.after:
                order += 1
            sign = stop.reading.edition
            if sign is None or sign.course is None:
                continue
            before = struck.get(sign.course, 0)
            sounding = self._stop(stop_id(event_id, sign.course, before), sign, stop, instrument, order)
            if sounding is not None:
                struck[sign.course] = before + 1
                found.append(sounding)
                self._last[sign.course] = sounding
        return tuple(found)

    def remember(self, stops: Iterable[SoundingStop]) -> None:
        """These have sounded, the last on their courses."""
        for stop in stops:
            self._last[stop.course] = stop

    def _stop(self, name: str, sign: Sign, stop: Stop, instrument: Instrument, order: int) -> SoundingStop | None:
        number = sign.course
        if number is None:
            return None
        course = instrument.course(number)
        if course is None:
            self._refuse_course(stop, number, instrument)
            return None
        if sign.state is FretState.HOLD:
            before = self._last.get(number)
            if before is None:
                self._refuse_hold(stop, number)
                return None
            return replace(before, id=name, stop=stop, held=True, slurred=False, order=order)
        if sign.state is not FretState.READ or sign.fret is None:
            return None
        fret = sign.fret
        if not self._fret_is_there(stop, number, fret, instrument):
            return None
        return SoundingStop(
            name,
            number,
            fret,
            self._sounding(instrument, number, fret),
            course.pitch,
            stop,
            slurred=stop.slur is not None and stop.slur is not Slur.REMOVED,
            order=order,
        )

    def _sounding(self, instrument: Instrument, number: int, fret: int) -> tuple[Semitones, ...]:
        """The pitches of a course at a fret, worked out once for each tuning."""
        if instrument is not self._instrument:
            self._instrument, self._pitches = instrument, {}
        known = self._pitches.get((number, fret))
        if known is None:
            known = self._pitches[number, fret] = instrument.sounding(number, fret)
        return known

    def _fret_is_there(self, stop: Stop, number: int, fret: int, instrument: Instrument) -> bool:
        if fret and number > instrument.over_fingerboard:
            self.diagnostics.append(
                Diagnostic(
                    music.FRETTED_DIAPASON,
                    stop.span,
                    f"Course {number} is a diapason: it runs beside the neck and cannot be stopped.",
                    f"Type the open string, or the stopped course (1 to {instrument.over_fingerboard}) that is meant. "
                    f"If it lies over the fingerboard here, type in the heading: stopped {number}",
                )
            )
            return False
        if fret > instrument.highest_fret:
            self.diagnostics.append(
                Diagnostic(
                    music.FRET_PAST_NECK,
                    stop.span,
                    f"Fret {fret} lies past the end of the fingerboard, which ends at {instrument.highest_fret}.",
                    "Look for two figures run together (1 and 2 read as 12).",
                )
            )
            return False
        return True

    def _refuse_course(self, stop: Stop, number: int, instrument: Instrument) -> None:
        self.diagnostics.append(
            Diagnostic(
                music.NO_SUCH_COURSE,
                stop.span,
                f"There is no course {number}: {instrument.name} has {len(instrument.courses)}.",
                f"Declare it in the heading (course {number} = F2), or correct the sign.",
            )
        )

    def _refuse_hold(self, stop: Stop, number: int) -> None:
        self.diagnostics.append(
            Diagnostic(
                music.NOTHING_HELD,
                stop.span,
                f"The hold line on course {number} has no note before it.",
                "Type the struck note where the line begins.",
            )
        )
