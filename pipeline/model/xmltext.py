"""What every document in XML must watch for in text that somebody typed."""

from __future__ import annotations

import re

#: Everything that XML 1.0 does not allow in text (production 2, Char).
_ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def legal(text: str) -> str:
    """The text with each character that XML forbids shown as U+FFFD, so that the loss is seen."""
    return _ILLEGAL.sub("\ufffd", text)
