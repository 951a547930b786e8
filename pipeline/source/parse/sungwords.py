"""Words of a stanza and chord letters: what the edition reads and what the source has."""

from __future__ import annotations

from pipeline.model.signs import Act, Reading

#: Nothing stands here.
NONE = "-"
_UNREAD = {"?": (Act.SUPPLIED_ILLEGIBLE, Act.ILLEGIBLE), "*": (Act.SUPPLIED_LOST, Act.LOST)}


def read_word(text: str) -> Reading[str] | None:
    """edited-word = read "!" ( printed | "-" | "?" | "*" ) | "-!" printed ;   None for a word without such a sign

    A ``!`` at the end, or before ``_``, is a mark of exclamation: ``ahi!`` and ``ahi!_o`` are words of the source.
    ``pian-!-`` is added, ``-!la`` left out.
    """
    at = _parting(text)
    if at < 0:
        return None
    edition, source = text[:at], text[at + 1 :]
    nothing = edition == NONE
    if source in _UNREAD:
        supplied, unread = _UNREAD[source]
        return Reading(unread, None, None) if nothing else Reading(supplied, edition, None)
    if source == NONE:
        return None if nothing else Reading(Act.ADDED, edition, None)
    if nothing:
        return Reading(Act.REMOVED, None, source)
    return Reading(Act.EMENDED, edition, source)


def begins_oddly(text: str) -> bool:
    """True for a word with a ``!`` before it, which means nothing there: ``!la``, where ``-!la`` may be meant."""
    return len(text) > 1 and text.startswith("!") and text.strip("!") != "" and read_word(text) is None


def _parting(text: str) -> int:
    """Where the last ``!`` stands that has something on both sides and is no mark of exclamation; -1 for nowhere."""
    at = text.rfind("!", 1, len(text) - 1)
    while at > 0 and (text[at + 1] == "!" or (text[at + 1] == "_" and at + 2 < len(text))):
        at = text.rfind("!", 1, at)
    return at
