"""The volume as one PDF file."""

from pipeline.desk.volume.writers.book.document import write_book

__all__ = ["write_book"]
