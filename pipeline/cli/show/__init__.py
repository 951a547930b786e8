"""What the reader sees: findings, explanations, lists, progress. The only place that says how they look."""

from pipeline.findings.text import console, finding_lines, show_findings, summary

__all__ = ["console", "finding_lines", "show_findings", "summary"]
