"""Pages as one PDF file, fonts inside, the same bytes for the same pages."""

from pipeline.writers.pdf.document import Paper, Pdf, write_pdf
from pipeline.writers.pdf.lost import lost_characters

__all__ = ["Paper", "Pdf", "lost_characters", "write_pdf"]
