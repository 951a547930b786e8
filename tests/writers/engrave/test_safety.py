"""Documents that would hang or kill the engraver never reach it. Source: measured with verovio 6.4.1."""

from __future__ import annotations

import pytest
from lxml import etree

from pipeline.edition.casting import cast_off
from pipeline.writers.engrave.safety import UnsafeDocumentError, drawable
from pipeline.writers.mei import write_mei
from tests.songs import copied
from tests.writers.scores import everything

MEI = write_mei(cast_off(everything())).decode()


def test_our_own_document_is_safe() -> None:
    assert drawable(MEI.encode()).size == 1.15, "a short piece is printed larger"


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ('tab.course="10"', "", "a tablature note without a course"),
        ("<tabGrp ", '<note pname="c" oct="4" dur="4"/><tabGrp ', "a staff note on the tablature"),
        ('notationtype="tab.lute.italian"', "", "tablature on a staff that is none"),
        ("<tie ", '<beamSpan startid="#t-b1e1c3"/><tie ', "a beam span"),
        ('enclose="brack"', 'head.shape="U+F5B0"', "a notehead of its own shape"),
    ],
)
def test_refused(old: str, new: str, what: str) -> None:
    assert old in MEI
    with pytest.raises(UnsafeDocumentError, match=what):
        drawable(MEI.replace(old, new, 1).encode())


def test_a_copy_is_safe_whose_first_staff_is_no_tablature() -> None:
    assert drawable(write_mei(cast_off(copied("| 1=X,3:3\nv 1=D5\n1 la\n")))).mei


def test_tablature_is_known_by_its_staff_and_not_by_its_number() -> None:
    """The same danger, the staves numbered otherwise."""
    moved = MEI.replace('tab.course="10"', "")
    for name in ("staffDef", "staff"):
        moved = moved.replace(f'{name} n="1"', f'{name} n="7"')
    with pytest.raises(UnsafeDocumentError, match="a tablature note without a course"):
        drawable(moved.encode())


def test_no_xml() -> None:
    with pytest.raises(etree.XMLSyntaxError):
        drawable(b"<mei")


def test_what_the_overlay_draws_is_taken_out() -> None:
    shown = drawable(MEI.encode()).mei
    assert 'xml:id="st-1"' in MEI and 'xml:id="st-1"' not in shown
    assert 'xml:id="sn-1"' in shown
