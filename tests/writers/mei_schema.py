"""The schema of MEI 5.1, where it is at hand.

The file ``mei-all-5.1.rng`` of the Music Encoding Initiative is not part of this project. It is looked for where the
environment variable LONGNECK_MEI_SCHEMA points, then in ``shared/data`` beside the checkout.
"""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

_BESIDE = Path(__file__).resolve().parents[3] / "shared" / "data" / "mei-all-5.1.rng"


@cache
def _schema() -> etree.RelaxNG | None:
    named = os.environ.get("LONGNECK_MEI_SCHEMA")
    path = Path(named) if named else _BESIDE
    return etree.RelaxNG(etree.parse(str(path))) if path.is_file() else None


def faults(mei: bytes) -> list[str]:
    """What the schema has against a document; skips the test where there is no schema."""
    schema = _schema()
    if schema is None:
        pytest.skip("mei-all-5.1.rng is not at hand: set LONGNECK_MEI_SCHEMA")
    schema.validate(etree.fromstring(mei))
    return [f"line {fault.line}: {fault.message}" for fault in schema.error_log]
