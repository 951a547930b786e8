"""Names of sections, as ``again`` and ``ditto`` call them."""

from __future__ import annotations

from collections.abc import Iterable


def section_named(said: str, names: Iterable[str]) -> str | None:
    """The section that is meant: of this name, or the only one that begins with these words; quotes around a name and
    capitals make no difference. None where there is none, or where several begin so."""
    known = tuple(dict.fromkeys(names))
    if said in known:
        return said
    wanted = said.strip('"').casefold().split()
    found = [name for name in known if name.casefold().split()[: len(wanted)] == wanted]
    exact = [name for name in found if len(name.split()) == len(wanted)]
    if len(exact) == 1:
        return exact[0]
    return found[0] if len(found) == 1 and wanted else None
