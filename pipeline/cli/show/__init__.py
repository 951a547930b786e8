"""What the reader sees: findings, explanations, lists, progress. The only place that says how they look."""

from pipeline.cli.show.telling import Teller
from pipeline.cli.show.terminal import console, show_findings, show_lines
from pipeline.findings.text import finding_lines, summary

__all__ = ["Teller", "console", "finding_lines", "show_findings", "show_lines", "summary"]
