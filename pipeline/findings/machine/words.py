"""What all forms say alike."""

from __future__ import annotations

from pipeline.model.diagnostics import Diagnostic


def said(finding: Diagnostic) -> str:
    """Message and hint. Both are sentences, but a hint that ends in something to be typed has no full stop."""
    return " ".join(text for text in (finding.message, finding.hint) if text)


def place(finding: Diagnostic) -> str:
    """``book/01.intav:7:5``"""
    return f"{finding.span.file}:{finding.span.line}:{finding.span.start}"


def counted(number: int, word: str) -> str:
    """``1 error``, ``2 errors``"""
    return f"{number} {word}{'' if number == 1 else 's'}"


def closed(text: str) -> str:
    """A title or remark as a sentence."""
    return f"{text[:1].upper()}{text[1:]}."
