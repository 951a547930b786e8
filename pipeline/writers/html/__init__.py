"""Pages for a browser: built as trees, never as strings, so that what was typed can never become markup."""

from pipeline.writers.html.head import ALL_PIECES, page_header
from pipeline.writers.html.pen import Block, Child, Element, data, element, page

__all__ = ["ALL_PIECES", "Block", "Child", "Element", "data", "element", "page", "page_header"]
