"""Names of elements and attributes, and the small tables of values that every part of the writer needs."""

from __future__ import annotations

from lxml import etree

from pipeline.model.score import BarStyle
from pipeline.model.time import WHOLE, Ticks

MEI = "http://www.music-encoding.org/ns/mei"
XML_ID = "{http://www.w3.org/XML/1998/namespace}id"

Element = etree._Element
sub = etree.SubElement


def name(local: str) -> str:
    """An element's name in the MEI namespace."""
    return f"{{{MEI}}}{local}"


ANNOT, ARPEG, ARTIC, BEAM = name("annot"), name("arpeg"), name("artic"), name("beam")
ACCID, BRACKET_SPAN, CHORD, DIR = name("accid"), name("bracketSpan"), name("chord"), name("dir")
ENDING, FERMATA, FING, GLISS = name("ending"), name("fermata"), name("fing"), name("gliss")
LAYER, LB, LINE, MEASURE = name("layer"), name("lb"), name("line"), name("measure")
METER_SIG, MREST, MSPACE, NOTE = name("meterSig"), name("mRest"), name("mSpace"), name("note")
ORNAM, PB, REH, REND, REST, SB = map(name, ("ornam", "pb", "reh", "rend", "rest", "sb"))
SCORE_DEF, SECTION, SLUR, SPACE = name("scoreDef"), name("section"), name("slur"), name("space")
STAFF, STAFF_DEF, STAFF_GRP, SUPPLIED = name("staff"), name("staffDef"), name("staffGrp"), name("supplied")
TAB_DUR_SYM, TAB_GRP, TEMPO, TIE = name("tabDurSym"), name("tabGrp"), name("tempo"), name("tie")
GRACE_GROUP = name("graceGrp")
TUPLET, UNCLEAR = name("tuplet"), name("unclear")
VERSE, SYL, HARM = name("verse"), name("syl"), name("harm")
FB, FIGURE = name("fb"), name("f")
LABEL, LABEL_ABBR = name("label"), name("labelAbbr")
TRILL, TURN, MORDENT = name("trill"), name("turn"), name("mordent")

#: ``dur`` of each unit of a value.
DURATIONS = {0: "breve", **{2**power: str(2**power) for power in range(11)}}

BAR_LINES = {
    BarStyle.NONE: "invis",
    BarStyle.SINGLE: "single",
    BarStyle.DOUBLE: "dbl",
    BarStyle.FINAL: "end",
    BarStyle.DASHED: "dashed",
    BarStyle.DOTTED: "dotted",
    BarStyle.REPEAT_START: "rptstart",
    BarStyle.REPEAT_END: "rptend",
    BarStyle.REPEAT_BOTH: "rptboth",
}


def stamp(offset: Ticks, unit: int) -> str:
    """A moment of the measure as MEI counts it: 1 is its beginning, in beats of ``unit``."""
    return f"{1 + offset * unit / WHOLE:.6g}"


def key_signature(fifths: int) -> str:
    """``2s``, ``1f`` or ``0``."""
    return f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"
