"""What an editor can switch on and off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Settings:
    """``pitches``: they are shown between the words; ``misprints``: probable ones are looked for."""

    pitches: bool = True
    misprints: bool = True

    def with_those_of(self, told: object) -> Settings:
        """These, but for what an editor tells: an object with the names above, by itself or under ``longneck``. What
        is not understood changes nothing."""
        if isinstance(told, Mapping) and isinstance(told.get("longneck"), Mapping):
            told = told["longneck"]
        if not isinstance(told, Mapping):
            return self
        known = {name: told[name] for name in ("pitches", "misprints") if isinstance(told.get(name), bool)}
        return replace(self, **known)
