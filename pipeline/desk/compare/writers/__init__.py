"""Comparisons as a page and as JSON; in ``words`` what both say, and the terminal too."""

from pipeline.desk.compare.writers.document import write_comparisons, write_verified
from pipeline.desk.compare.writers.page import Ways, comparison_page, verified_page

__all__ = ["Ways", "comparison_page", "verified_page", "write_comparisons", "write_verified"]
