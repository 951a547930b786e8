"""Pages as one PDF file, fonts inside, the same bytes for the same pages."""

from pipeline.writers.pdf.document import PER_MM, Paper, Pdf, write_pdf

__all__ = ["PER_MM", "Paper", "Pdf", "write_pdf"]
