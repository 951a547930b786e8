"""The critical report: a page to read and print, and a table for other programs."""

from pipeline.writers.report.page import write_report
from pipeline.writers.report.table import write_table

__all__ = ["write_report", "write_table"]
