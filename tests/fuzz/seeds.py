"""What hostile input is made from: our own pieces and files in small parts, and the words of each format."""

from __future__ import annotations

import io
import zipfile
from functools import cache
from pathlib import Path

from pipeline.findings.codes import ALL, whole_piece
from pipeline.model.tablature import HEADING_KEYS

ROOT = Path(__file__).parent.parent.parent
HOSTILE = ROOT / "fixtures" / "hostile"
#: Music lines in one seed: small inputs are tried far oftener than large ones.
_LINES = 12

#: Words that mutations put in: signs of the encoding, numbers at their limits, and what no keyboard types.
# fmt: off
TEXT_WORDS = (
    "| ", "|< ", "|> ", "\n+ ", "\n& ", "\n&4r", "; x", '"a', '\n"a EB: so', '\n"a > voice 2', '\n"a > lasts to b',
    "\n!B 3:2", "\nv 4=D5", "\nv2 E", "\nb 2=D3'6,4", "\nc F", "\n1 la- ", "\n2 _ ", "=", ":", ",", ">", "_", "'",
    "?", "*", "-", ".", "!", "3:2", "4=", "4.=", "0=", "8/3=", "16/5:4=", "/3=", "8", "X", "12", "1:12", "6:-", "3:?",
    "'h", "4+8=", "\n!B omits",    '\n"a !B omits', ' &4r"a ', "\nlines 5, course 1 above", "\nmetre none = 4/4",
    "?:2", "!3:5", "'T", "'r=", "'b=", "'2i", "\n| ditto", "\n| ditto 2", "\n| ditto Prima 1", " ||", " |||", " .||",
    " ||.", " .||.", " |!", " !|", " |-|", "\nopens ||.", "\nsection Prima", "\nagain Prima", "\nagain start",
    "\nending 1", "\nending 2", "\nending end", "\ngap 3 bars", "\nmetre 3/2", "\nmetre none", "\nmetre C",
    "\nkey D minor", "\nretune 8 = F2", "\ntempo adagio", "\nstanza 4 la", "\nsigns french", "\nvalues 1:2",
    "\nlayout new page",
    "\nvalues 8:1", "\ncourse 7 = G2+G3", "\ndiapasons 8 = F#2", "\npitch 415", "\nstrings 84 cm", "\nvoices 6",
    "\nstopped 1", "\nfrets 99", "\narpeggio rising, first written out", '\nmark T = "t" trill, after',
    "\nseverity syntax = note", "\nlayer v = Canto, clef C1", "\nlayer b = Bass, clef F4", "\nfacsimile 4r = a.jpg",
    "\nlayer v = C, clef G2, from a.xml", "0", "1", "9", "99", "999", "9999999999", "-1", "64", "63", "/64", "a",
    "//a", "4c", "j", "\n", "\r", "\t", " ", "\x00", "\x0b", "\u2028", "\ufeff", "́", "\u202e", "é", "٤", "²", "🎵",
    "<", ">", "&amp;", "]]>", "\x1b[31m", "\n@@@\n",
    *(f"\n{key} " for key in HEADING_KEYS),
)
_XML_WORDS = (
    "<note>", "</note>", "<rest/>", "<chord/>", "<grace/>", "<duration>0</duration>", "<duration>-4</duration>",
    "<duration>99999999</duration>", "<divisions>0</divisions>", "<divisions>1</divisions>",
    "<divisions>x</divisions>", "<octave>99</octave>", "<alter>9</alter>", "<type>maxima</type>",
    "<type>1024th</type>",
    "<time-modification><actual-notes>0</actual-notes><normal-notes>2</normal-notes></time-modification>",
    "<forward><duration>999999</duration></forward>", "<backup><duration>9</duration></backup>",
    "<fifths>99</fifths>", "<beats>0</beats>", '<!DOCTYPE a [<!ENTITY b "c">]>', "&b;", "&#0;", "<xi:include/>",
    "<![CDATA[", "<?a?>", "<!--", "</part>", "<voice>2</voice>", '<tie type="stop"/>', "MThd", "MTrk", "ÿ/\x00",
    "ÿQ\x03", "**kern", "*-", "4c", "=1", "!!", "X:1", "K:C", "M:4/4", "L:1/8", "w: la", "[CEG]", "(3abc", "z99999",
)
_TABLATURE_WORDS = (
    "<measure/>", "<tabGrp/>", "<tabDurSym/>", "<note tab.course='99' tab.fret='99'/>", "<gap reason='lost'/>",
    "<supplied>", "</supplied>", "<choice>", "</choice>", "<sic/>", "<app/>", "<lem/>", "<rdg/>", "<unclear>",
    "<ending n='1'/>", "<sb/>", "<pb n='4r'/>", "<space dur='1'/>", "<tuplet num='0' numbase='2'>", "</tuplet>",
    "dur='long'", "dur='1024'", "dots='9'", "tab.fret='-1'", "tab.course='0'", "xml:id='t1'", "oct='99'", "n='0'",
    "<course n='24' pname='h' oct='2'/>", "metcon='false'", "left='rptstart'", "right='invis'", "<annot/>", " ;", "!",
    "<annot type='apparatus written-out'>not written out in the source: as the 2 bars before</annot>", "|", "&amp;x",
    "<string>0</string>", "<fret>99</fret>", "<staff-tuning/>", "<accord string='9'/>", "<words>÷</words>", "_",
)
_JSON_WORDS = (
    "{", "}", "[", "]", "null", "true", "1e999", "-1", "NaN", '""', '"\\ud800"', "9" * 400, "[" * 500, '"form": 1',
    '"place"', '"seal"', "<events ", "<bar>", "<event ", "<stop ", ' form="1"', ' at="1/0"', ' at="9/1"', ' line="0"',
    ' course="-1"', "</events>", "&#x41;",
)
_OPTION_WORDS = (
    "M2", "-m3", "P8", "A4", "d", "C4:G5", "#", "b", ":", "-", "99", "0", "٣", "only=", "transpose=", "paper=a4",
    "yes", "no",
)
# fmt: on

WORDS = {
    "voice": _XML_WORDS,
    "exchange": (*_XML_WORDS, *_TABLATURE_WORDS),
    "records": _JSON_WORDS,
    "options": _OPTION_WORDS,
    "image": ("\xff\xc0", "\xff\xff", "\x00\x00", "IHDR", "VP8X", "VP8L", "RIFF", "WEBP"),
}


def words_for(target: str) -> tuple[bytes, ...]:
    """The words that inputs of a target are made of; single characters below 256 in names of bytes stand for bytes."""
    words = WORDS.get(target, TEXT_WORDS)
    binary = target in ("voice", "image")
    return tuple(word.encode("latin-1") if binary and max(word) < "\u0100" else word.encode() for word in words)


@cache
def pieces() -> list[bytes]:
    """The examples of every finding, the faulty pieces, every piece of the anthology in parts, what was found."""
    found = [whole_piece(text).encode() for code in ALL.values() for text in (code.faulty, code.mended) if text]
    for path in sorted((ROOT / "fixtures").rglob("*.intav")):
        if HOSTILE in path.parents:
            continue
        lines = path.read_bytes().splitlines(keepends=True)
        start = next((at for at, line in enumerate(lines) if line.startswith(b"|")), len(lines))
        head = lines[:start]
        parts = range(start, len(lines), _LINES) or [start]
        found += [b"".join((*head, *lines[at : at + _LINES])) for at in parts]
    return found + hostile("piece")


@cache
def headings() -> list[bytes]:
    """Folders' headings, and the lines of examples that are no music."""
    found = [path.read_bytes() for path in sorted((ROOT / "fixtures").rglob("heading.intav"))]
    for text in pieces():
        lines = [line for line in text.splitlines(keepends=True) if line[:1] not in b'|&"+!12345']
        found.append(b"".join(lines[:_LINES]))
    return found


def hostile(kind: str) -> list[bytes]:
    """What earlier runs have found, by kind."""
    return [path.read_bytes() for path in sorted((HOSTILE / kind).glob("*"))] if (HOSTILE / kind).is_dir() else []


_NOTE = "<note><pitch><step>D</step><octave>5</octave></pitch><duration>4</duration><type>half</type>{}</note>"
_SCORE = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Canto</part-name></score-part></part-list>'
    '<part id="P1"><measure number="1"><attributes><divisions>2</divisions><key><fifths>-1</fifths></key><time><beats>4'
    '</beats><beat-type>4</beat-type></time></attributes>{0}{1}</measure><measure number="2">{0}{0}</measure></part>'
    "</score-partwise>"
)


@cache
def voices() -> list[bytes]:
    """One small file of each kind, led by a byte that says which."""
    lyric = '<lyric number="1"><syllabic>begin</syllabic><text>Lan</text></lyric>'
    score = _SCORE.format(_NOTE.format(lyric), _NOTE.format('<tie type="start"/>')).encode()
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        rooted = '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>'
        archive.writestr("META-INF/container.xml", rooted)
        archive.writestr("a.xml", score)
    abc = b"X:1\nT:Canto\nM:4/4\nL:1/4\nK:Dm\nd2 e2 | (3def g2 |]\nw: Lan- gue\n"
    kern = b"**kern\t**text\n*M4/4\t*\n=1\t=1\n2dd\tLan-\n2ee\t-gue\n=2\t=2\n1r\t.\n*-\t*-\n"
    track = b"\x00\x90\x4a\x40\x83\x60\x80\x4a\x00\x00\x90\x4c\x40\x83\x60\x80\x4c\x00\x00\xff\x2f\x00"
    midi = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk" + len(track).to_bytes(4, "big") + track
    files = (score, packed.getvalue(), abc, kern, midi)
    return [bytes([kind]) + data for kind, data in enumerate(files)] + hostile("voice")


_TABLATURE = """\
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.1"><meiHead><fileDesc><titleStmt><title>T</title>
<composer>C</composer><editor xml:id="editor-EB">E. B.</editor></titleStmt><pubStmt/><sourceDesc>
<source xml:id="source-B"><bibl>Another</bibl></source></sourceDesc></fileDesc></meiHead><music><body><mdiv><score>
<scoreDef><staffGrp><staffDef n="1" lines="6" notationtype="tab.lute.italian"><meterSig sym="common"/><tuning>
<course n="1" pname="g" oct="4"/><course n="2" pname="d" oct="4"/><course n="3" pname="a" oct="3"/></tuning></staffDef>
<staffDef n="2" lines="5" clef.shape="C" clef.line="1" keysig="1f"><label>Canto</label></staffDef></staffGrp></scoreDef>
<section>{measures}</section></score></mdiv></body></music></mei>"""
_TABBED = """\
<measure n="1" xml:id="m1" right="rptend"><staff n="1"><layer><tabGrp xml:id="g1" dur="4"><tabDurSym/>
<note xml:id="t1" tab.course="3" tab.fret="2"/><choice><corr><note tab.course="2" tab.fret="1"/></corr><sic>
<note tab.course="2" tab.fret="0"/></sic></choice></tabGrp><tuplet num="3" numbase="2"><tabGrp dur="8"><tabDurSym/>
<note xml:id="t2" tab.course="3" tab.fret="3"/></tabGrp></tuplet><app><lem><tabGrp dur="8"><note tab.course="1"
tab.fret="0"/></tabGrp></lem><rdg source="#source-B"><tabGrp dur="4"><tabDurSym/></tabGrp></rdg></app></layer></staff>
<staff n="2"><layer><note xml:id="v1" pname="d" oct="5" dur="2"><verse n="1"><syl con="d">la</syl></verse></note>
</layer></staff><slur startid="#t1" endid="#t2"/><ornam startid="#t2">t</ornam><annot plist="#t1">a note</annot>
<dir tstamp="2" staff="1">piano</dir><fermata startid="#g1"/></measure>"""


@cache
def exchanges() -> list[bytes]:
    """A tablature in MEI whole and without parts of its measure, one in MusicXML, what was found."""
    lines = _TABBED.split("\n")
    parts = ["\n".join(lines[:at] + lines[at + 1 :]) for at in range(1, len(lines) - 1)]
    whole = [_TABLATURE.replace("{measures}", each) for each in (_TABBED, _TABBED * 3, *parts)]
    place = "<notations><technical><string>{}</string><fret>2</fret></technical><slur type='start'/></notations>"
    tuned = "<clef><sign>TAB</sign></clef><staff-details>{}</staff-details></attributes>".format(
        "".join(
            f"<staff-tuning line='{line}'><tuning-step>{step}</tuning-step><tuning-octave>3</tuning-octave>"
            "</staff-tuning>"
            for line, step in enumerate("GDA", start=1)
        )
    )
    score = _SCORE.format(_NOTE.format(place.format(2)), _NOTE.format(place.format(1)))
    whole.append(score.replace("</attributes>", tuned))
    return [text.encode() for text in whole] + hostile("exchange")


@cache
def records() -> list[bytes]:
    """What a build of a small piece leaves, and a baseline."""
    from pipeline.edition.leading import check_piece  # noqa: PLC0415
    from pipeline.findings.document import write_findings  # noqa: PLC0415
    from pipeline.findings.tally.baseline import Baseline, write_baseline  # noqa: PLC0415
    from pipeline.findings.tally.records import Key  # noqa: PLC0415
    from pipeline.folder.cache.record import Record, record_bytes  # noqa: PLC0415  seeds need more than the targets
    from pipeline.model.artefacts import Form  # noqa: PLC0415
    from pipeline.model.options import Options  # noqa: PLC0415
    from pipeline.model.text import SourceText  # noqa: PLC0415
    from pipeline.piece import build_piece  # noqa: PLC0415

    text = whole_piece('| 2=8:1,4:2 4=7,4:0\'T 3:2!3:5"a\n"a EB: so\n| 4=3:2 _3:3 |||\n')
    source = SourceText.of("piece.intav", text)
    made = build_piece(source, (), Options(forms=(Form.EVENTS,)))
    events = dict(made.artefacts)["events.xml"]
    found = write_findings("piece.intav", check_piece(source))
    record = record_bytes(
        Record("piece.intav", "0" * 64, {"a.xml": "1" * 64}, {"findings.json": "2" * 64}, "T", ("w",))
    )
    baseline = write_baseline(Baseline({Key("piece.intav", "syntax", "| 1=x"): 2}))
    return [events, found, record, baseline, *hostile("record")]


@cache
def options() -> list[bytes]:
    typed = ("M2", "-m3", "A4", "P15", "C4:G5", "Bb2:F#6", "only=midi", "transpose=M2", "voice_range=C4:G5", "paper=a4")
    return [word.encode() for word in typed]


@cache
def images() -> list[bytes]:
    png = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + (640).to_bytes(4, "big") + (480).to_bytes(4, "big")
    jpeg = b"\xff\xd8\xff\xe0\x00\x04ab\xff\xc0\x00\x11\x08\x01\xe0\x02\x80\x03"
    webp = b"RIFF\x00\x00\x00\x00WEBP" + b"VP8X" + bytes(22)
    return [png, jpeg, webp, webp.replace(b"VP8X", b"VP8L"), webp.replace(b"VP8X", b"VP8 ")]
