"""Pages as one PDF file, fonts inside, the same bytes for the same pages."""

from pipeline.writers.pdf.document import PER_MM, Paper, Pdf, draw_on, size_of, write_pdf
from pipeline.writers.pdf.page import Glyphs

__all__ = ["PER_MM", "Glyphs", "Paper", "Pdf", "draw_on", "size_of", "write_pdf"]
