"""What a run over many pieces found: under names that hold on every machine, the known told from the new."""

from pipeline.findings.tally.baseline import BadBaselineError, Baseline, read_baseline, write_baseline
from pipeline.findings.tally.records import FileTally, Key, Noted, Tally
from pipeline.findings.tally.taking import Taker, renewed

__all__ = [
    "BadBaselineError",
    "Baseline",
    "FileTally",
    "Key",
    "Noted",
    "Taker",
    "Tally",
    "read_baseline",
    "renewed",
    "write_baseline",
]
