"""Small documents of both standards, written by hand after their descriptions (MEI 5.1, MusicXML 4.0)."""

from __future__ import annotations

LUTE = "".join(
    f'<course n="{n}" pname="{name}" oct="{octave}"/>'
    for n, (name, octave) in enumerate((("g", 4), ("d", 4), ("a", 3), ("f", 3), ("c", 3), ("g", 2)), start=1)
)
TUNED = f"<tuning>{LUTE}</tuning>"


def mei(
    *layers: str,
    kind: str = "tab.lute.italian",
    tuning: str = TUNED,
    head: str = "<title>Piece</title>",
    staff: str = "",
    after: str = "",
    metre: str = '<meterSig count="2" unit="2"/>',
) -> bytes:
    """A tablature of one measure for each layer; ``after`` are control events of the first."""
    measures = "".join(
        f'<measure n="{n}" xml:id="m{n}"><staff n="1"><layer n="1">{layer}</layer></staff>'
        f"{staff if n == 1 else ''}{after if n == 1 else ''}</measure>"
        for n, layer in enumerate(layers, start=1)
    )
    other = '<staffDef n="2" lines="5" clef.shape="C" clef.line="1" keysig="1f"><label>Canto</label></staffDef>'
    return (
        '<?xml version="1.0" encoding="UTF-8"?><mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.1">'
        f"<meiHead><fileDesc><titleStmt>{head}</titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>"
        f'<scoreDef><staffGrp><staffDef n="1" lines="6" notationtype="{kind}">{metre}{tuning}</staffDef>'
        f"{other if staff else ''}</staffGrp></scoreDef><section>{measures}</section></score></mdiv></body></music>"
        "</mei>"
    ).encode()


def group(*notes: tuple[int, int], dur: str = "2", sign: bool = True, more: str = "", ident: str = "") -> str:
    """``tabGrp`` with courses and frets."""
    figures = "".join(f'<note xml:id="{ident}c{c}" tab.course="{c}" tab.fret="{f}"/>' if ident
                      else f'<note tab.course="{c}" tab.fret="{f}"/>' for c, f in notes)  # fmt: skip
    own = f' xml:id="{ident}"' if ident else ""
    return f'<tabGrp{own} dur="{dur}">{"<tabDurSym/>" if sign else ""}{figures}{more}</tabGrp>'


def fret(string: int, at: int, pitch: tuple[str, int], extra: str = "", kind: str = "half", length: int = 2) -> str:
    """A ``note`` of a tablature in MusicXML."""
    step, octave = pitch
    return (
        f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{length}</duration>"
        f"<type>{kind}</type><notations><technical><string>{string}</string><fret>{at}</fret></technical>{extra}"
        "</notations></note>"
    )


def musicxml(*measures: str, tuning: str | None = None, before: str = "") -> bytes:
    """A tablature of these measures, tuned like a lute in G with course 1 above."""
    lines = "".join(
        f'<staff-tuning line="{line}"><tuning-step>{name}</tuning-step><tuning-octave>{octave}</tuning-octave>'
        "</staff-tuning>"
        for line, (name, octave) in enumerate((("G", 2), ("C", 3), ("F", 3), ("A", 3), ("D", 4), ("G", 4)), start=1)
    )
    details = f"<staff-details><staff-lines>6</staff-lines>{lines if tuning is None else tuning}</staff-details>"
    head = (
        "<attributes><divisions>1</divisions><time><beats>2</beats><beat-type>2</beat-type></time>"
        f"<clef><sign>TAB</sign><line>5</line></clef>{details}</attributes>"
    )
    body = "".join(
        f'<measure number="{n}">{head if n == 1 else ""}{measure}</measure>' for n, measure in enumerate(measures, 1)
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>{before}<score-partwise version="4.0"><part-list><score-part id="P1">'
        f'<part-name>Lute</part-name></score-part></part-list><part id="P1">{body}</part></score-partwise>'
    ).encode()
