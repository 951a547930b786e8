"""Pages for a browser: built as trees, never as strings, so that what was typed can never become markup."""

from pipeline.writers.html.pen import Block, Child, Element, data, element, page

__all__ = ["Block", "Child", "Element", "data", "element", "page"]
