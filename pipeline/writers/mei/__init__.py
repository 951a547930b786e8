"""The score as MEI 5.1: the document that the pages are engraved from."""

from pipeline.writers.mei.document import write_mei

__all__ = ["write_mei"]
