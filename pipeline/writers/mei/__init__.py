"""The score as MEI 5.1: the document that the pages are engraved from."""

from pipeline.writers.mei.document import MeiForms, write_mei, write_mei_forms

__all__ = ["MeiForms", "write_mei", "write_mei_forms"]
