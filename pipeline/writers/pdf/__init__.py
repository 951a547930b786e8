"""Pages as one PDF file, fonts inside, the same bytes for the same pages."""

from pipeline.writers.pdf.document import Paper, Pdf, write_pdf

__all__ = ["Paper", "Pdf", "write_pdf"]
