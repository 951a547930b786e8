"""What is attacked: each target takes bytes and must come back; refusals of its own kind are answers."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from pipeline.cache.findings import NotFindingsError, read_findings
from pipeline.cache.record import read_record
from pipeline.facts import check_piece
from pipeline.model.heading import Layer
from pipeline.model.interval import parse_interval, parse_range
from pipeline.model.voicefile import VoiceFile
from pipeline.source import SourceText, Span
from pipeline.stages.contents import NotEventsError, recall_content
from pipeline.stages.declare import declare
from pipeline.stages.parse import parse
from pipeline.stages.partbook import read_part
from pipeline.tally.baseline import BadBaselineError, read_baseline
from pipeline.writers.encoding import write_encoding

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
Target = Callable[[bytes], object]


def _source(data: bytes) -> SourceText:
    return SourceText.of("trial.intav", data.decode(errors="replace"))


def tidy(data: bytes) -> None:
    """The formatter's text, read and written again, is the same text."""
    once = write_encoding(parse(_source(data), ()).value)
    again = write_encoding(parse(SourceText.of("trial.intav", once), ()).value)
    assert again == once, "tidying twice gives two texts"


def heading(data: bytes) -> None:
    declare(parse(_source(b"longneck 1\n" + data), ()).value)


def check(data: bytes) -> None:
    check_piece(_source(data), ())


def intervals(data: bytes) -> None:
    text = data.decode(errors="replace")
    parse_interval(text)
    parse_range(text)


def events(data: bytes) -> None:
    with suppress(NotEventsError):
        recall_content(data)


def findings(data: bytes) -> None:
    with suppress(NotFindingsError):
        read_findings(data)


def baseline(data: bytes) -> None:
    with suppress(BadBaselineError):
        read_baseline(data)


def voice(data: bytes) -> None:
    place = Span("trial.intav", 1, 1, 1)
    for suffix in ("musicxml", "abc", "krn"):
        read_part(VoiceFile(f"a.{suffix}", data), Layer("v", "Canto", "C1", 0, f"a.{suffix}"), place)


#: Name → target and the files whose bytes are mutated.
TARGETS: dict[str, tuple[Target, str]] = {
    "tidy": (tidy, "**/*.intav"),
    "heading": (heading, "**/*.intav"),
    "check": (check, "**/*.intav"),
    "intervals": (intervals, ""),
    "record": (read_record, "build.json"),
    "findings": (findings, "findings.json"),
    "events": (events, "events.xml"),
    "baseline": (baseline, "findings.json"),
    "voice": (voice, "reduction.musicxml"),
}
