"""How the leaf on which the source goes on is named in the edition."""

from __future__ import annotations

import re

_LEAF = re.compile(r"\d+[rv]?")


def folio_mark(folio: str) -> str:
    """A stroke and the leaf: ``| f. 12r``, ``| p. 7``; other names as they are typed."""
    if not _LEAF.fullmatch(folio):
        return f"| {folio}"
    return f"| f. {folio}" if folio[-1] in "rv" else f"| p. {folio}"
