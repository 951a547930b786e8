"""What a run over many pieces found: under names that hold on every machine, the known told from the new."""

from pipeline.findings.tally.baseline import BadBaselineError, Baseline, read_baseline, write_baseline
from pipeline.findings.tally.records import FileTally, Key, Log, Noted, Tally, Totals
from pipeline.findings.tally.taking import Taker, renewed

__all__ = [
    "BadBaselineError",
    "Baseline",
    "FileTally",
    "Key",
    "Log",
    "Noted",
    "Taker",
    "Tally",
    "Totals",
    "read_baseline",
    "renewed",
    "write_baseline",
]
