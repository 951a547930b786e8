"""Misprints: places that look wrong, and what they may have said. Proposals only; nothing is changed.

Rhythm: every single change that makes a bar add up, weighed over the phrase (``signs``). Stops: every reading for
which a stop may be a misprint, weighed in its chord, line, key and hand, and by the same passage elsewhere
(``stops``). What is weighed was learned from seeded errors in arranged music of the period.
"""

from pipeline.desk.misprints.search.emending import CannotEmendError, Note, emended
from pipeline.desk.misprints.search.search import misprints

__all__ = ["CannotEmendError", "Note", "emended", "misprints"]
