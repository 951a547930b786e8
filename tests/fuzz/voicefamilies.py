"""Hostile families of notation files: files of one bad shape, as large as one likes, led by the byte that says which
ending the name has (as the target ``voice`` takes them)."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable

from pipeline.model.limits import VOICE_FILE_BYTES, VOICE_KIND_BYTES

VoiceFamily = Callable[[int], bytes]
VOICE_FAMILIES: dict[str, VoiceFamily] = {}

#: The first byte of a notation file of each kind.
MUSICXML, MXL, ABC, KERN, MIDI = (bytes([kind]) for kind in range(5))
_PITCH = "<pitch><step>D</step><octave>5</octave></pitch>"
_NOTE = f"<note>{_PITCH}<duration>2</duration><type>quarter</type></note>"
_TIMES = "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
_BEFORE = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Canto</part-name></score-part></part-list>'
    f'<part id="P1"><measure number="1">{_TIMES}'
)
_AFTER = "</measure></part></score-partwise>"
_NEXT = '</measure><measure number="2">'
_LYRIC = '<lyric number="{0}"><syllabic>single</syllabic><text>la</text></lyric>'
_MARKS = '<notations><slur type="start" number="1"/><slur type="stop" number="1"/></notations>'

#: Name → what stands before, what is repeated, what stands after, of MusicXML.
_SCORES: dict[str, tuple[str, str, str]] = {
    "MusicXML: one bar of notes": (_BEFORE, _NOTE, _AFTER),
    "MusicXML: bars of one note": (_BEFORE + _NOTE, _NEXT + _NOTE, _AFTER),
    "MusicXML: bars of four notes": (_BEFORE + 4 * _NOTE, _NEXT + 4 * _NOTE, _AFTER),
    "MusicXML: empty bars": (_BEFORE + _NOTE, _NEXT, _AFTER),
    "MusicXML: bars of a metre each": (_BEFORE + _NOTE, _NEXT + _TIMES + _NOTE, _AFTER),
    "MusicXML: one chord": (_BEFORE + _NOTE, _NOTE.replace("<pitch>", "<chord/><pitch>"), _AFTER),
    "MusicXML: grace notes": (
        _BEFORE + _NOTE, f"<note><grace/>{_PITCH}<type>eighth</type></note>", _NOTE + _AFTER,
    ),
    "MusicXML: slurs": (_BEFORE, _NOTE.replace("</note>", _MARKS + "</note>"), _AFTER),
    "MusicXML: slurs never closed": (
        _BEFORE, _NOTE.replace("</note>", '<notations><slur type="start"/></notations></note>'), _AFTER,
    ),
    "MusicXML: ties": (_BEFORE, _NOTE.replace("<type>", '<tie type="stop"/><tie type="start"/><type>'), _AFTER),
    "MusicXML: words": (_BEFORE, _NOTE.replace("</note>", _LYRIC.format(1) + "</note>"), _AFTER),
    "MusicXML: one note of words": (_BEFORE + _NOTE[:-7], _LYRIC.format(1), "</note>" + _AFTER),
    "MusicXML: one long word": (_BEFORE + _NOTE[:-7] + "<lyric><text>", "la ", "</text></lyric></note>" + _AFTER),
    "MusicXML: keys": (
        _BEFORE + _NOTE, "<attributes><key><fifths>1</fifths></key></attributes>", _AFTER,
    ),
    "MusicXML: clefs": (
        _BEFORE + _NOTE, "<attributes><clef><sign>G</sign><line>2</line></clef></attributes>", _AFTER,
    ),
    "MusicXML: forwards": (_BEFORE + _NOTE, "<forward><duration>1</duration></forward>", _AFTER),
    "MusicXML: backups": (_BEFORE + _NOTE, "<backup><duration>2</duration></backup>" + _NOTE, _AFTER),
    "MusicXML: voices": (_BEFORE, _NOTE.replace("<type>", "<voice>2</voice><type>") + _NOTE, _AFTER),
    "MusicXML: tuplets": (
        _BEFORE,
        _NOTE.replace(
            "</note>",
            "<time-modification><actual-notes>61</actual-notes><normal-notes>59</normal-notes></time-modification></note>",
        ),
        _AFTER,
    ),
    "MusicXML: harmonies": (
        _BEFORE + _NOTE, "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>", _AFTER,
    ),
    "MusicXML: directions": (
        _BEFORE + _NOTE,
        "<direction><direction-type><words>x</words></direction-type></direction>", _AFTER,
    ),
    "MusicXML: repeats": (
        _BEFORE + _NOTE, f'<barline location="right"><repeat direction="backward"/></barline>{_NEXT}{_NOTE}', _AFTER,
    ),
    "MusicXML: endings": (
        _BEFORE + _NOTE, f'<barline location="left"><ending number="1" type="start"/></barline>{_NEXT}{_NOTE}', _AFTER,
    ),
    "MusicXML: unknown elements": (_BEFORE + _NOTE, "<x/>", _AFTER),
    "MusicXML: one nest": (_BEFORE + _NOTE, "<x>", _AFTER),
    "MusicXML: comments": (_BEFORE + _NOTE, "<!---->", _AFTER),
    "MusicXML: attributes": (_BEFORE + _NOTE + "<x", ' y="1"', "/>" + _AFTER),
    "MusicXML: characters told by number": (_BEFORE + _NOTE + "<x>", "&#65;", "</x>" + _AFTER),
}  # fmt: skip
#: The same of ABC and kern.
_TUNE = "X:1\nM:4/4\nL:1/4\nK:C\n"
_SPINE = "**kern\n*M4/4\n=1\n"
_TEXTS: dict[str, tuple[bytes, str, str, str]] = {
    "ABC: notes without bars": (ABC, _TUNE, "d", "\n"),
    "ABC: bars of one note": (ABC, _TUNE, "d|", "\n"),
    "ABC: bars of four notes": (ABC, _TUNE, "defg|", "\n"),
    "ABC: long bars": (ABC, _TUNE, "d63/64d61/64e3f3g3a3b3|", "\n"),
    "ABC: tuplets": (ABC, _TUNE, "(3def", "|\n"),
    "ABC: tuplets in tuplets": (ABC, _TUNE, "(3(5(7", "d|\n"),
    "ABC: chords": (ABC, _TUNE, "[CEG]", "|\n"),
    "ABC: one chord": (ABC, _TUNE + "[", "C", "]|\n"),
    "ABC: grace notes": (ABC, _TUNE, "{d}e", "|\n"),
    "ABC: slurs": (ABC, _TUNE + "d", "(", "|\n"),
    "ABC: slurs closed": (ABC, _TUNE, "(de)", "|\n"),
    "ABC: ties": (ABC, _TUNE, "d-", "d|\n"),
    "ABC: rests of many bars": (ABC, _TUNE, "Z99|", "\n"),
    "ABC: keys": (ABC, _TUNE, "[K:D]d|", "\n"),
    "ABC: metres": (ABC, _TUNE, "[M:3/4]d|", "\n"),
    "ABC: fields": (ABC, "X:1\n", "T:x\n", "K:C\nd|\n"),
    "ABC: voices": (ABC, _TUNE, "V:2\nd|\n", ""),
    "ABC: tunes": (ABC, "", "X:1\nK:C\nd|\n\n", ""),
    "ABC: repeats": (ABC, _TUNE, "|:d:|", "\n"),
    "ABC: chord names": (ABC, _TUNE, '"C"d', "|\n"),
    "ABC: decorations": (ABC, _TUNE, "!x!", "d|\n"),
    "ABC: accidentals": (ABC, _TUNE, "^", "d|\n"),
    "ABC: nothing but commas": (ABC, _TUNE + "d", ",", "|\n"),
    "kern: one bar of notes": (KERN, _SPINE, "4d\n", "*-\n"),
    "kern: bars of one note": (KERN, _SPINE, "4d\n=\n", "*-\n"),
    "kern: chords": (KERN, _SPINE + "4d", " 4e", "\n*-\n"),
    "kern: dots": (KERN, _SPINE + "4", ".", "d\n*-\n"),
    "kern: ties": (KERN, _SPINE, "[4d\n4d]\n", "*-\n"),
    "kern: keys": (KERN, _SPINE, "*k[f#]\n4d\n", "*-\n"),
    "kern: comments": (KERN, _SPINE + "4d\n", "!\n", "*-\n"),
    "kern: spines that part": (KERN, _SPINE + "4d\n", "*^\n", "*-\n"),
    "kern: many spines": (KERN, "**kern", "\t**kern", "\n4d\n*-\n"),
    "kern: records of many spines": (KERN, "\t".join(["**kern"] * 40) + "\n", "\t".join(["4d"] * 40) + "\n", ""),
}


def largest(name: str) -> int:
    """The bytes of the largest file of a family that is read."""
    kind = {"ABC": "abc", "kern": "humdrum", "MIDI": "midi"}.get(name.split(":", maxsplit=1)[0], "")
    return VOICE_KIND_BYTES.get(kind, VOICE_FILE_BYTES)


def _filled(unit: bytes, size: int, before: bytes, after: bytes) -> bytes:
    return before + unit * max(1, (size - len(before) - len(after)) // len(unit)) + after


def _repeating(before: bytes, unit: bytes, after: bytes) -> VoiceFamily:
    return lambda size: _filled(unit, size, before, after)


for _name, (_before, _unit, _after) in _SCORES.items():
    VOICE_FAMILIES[_name] = _repeating(MUSICXML + _before.encode(), _unit.encode(), _after.encode())
for _name, (_kind, _before, _unit, _after) in _TEXTS.items():
    VOICE_FAMILIES[_name] = _repeating(_kind + _before.encode(), _unit.encode(), _after.encode())


def _packed(make: VoiceFamily) -> VoiceFamily:
    def packed(size: int) -> bytes:
        content = io.BytesIO()
        with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("a.xml", make(size)[1:])
        return MXL + content.getvalue()

    return packed


def _members(size: int) -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        for number in range(max(1, size // 110)):
            archive.writestr(f"{number}.txt", "")
    return MXL + content.getvalue()


def _midi(unit: bytes, before: bytes = b"", tracks: int = 1) -> VoiceFamily:
    def make(size: int) -> bytes:
        track = _filled(unit, size // tracks, before, b"\0\xff\x2f\0")
        head = b"MThd\0\0\0\6\0\1" + tracks.to_bytes(2, "big") + b"\1\xe0"
        return MIDI + head + (b"MTrk" + len(track).to_bytes(4, "big") + track) * tracks

    return make


_ON = b"\0\x90\x4a\x40\x83\x60\x80\x4a\0"
VOICE_FAMILIES |= {
    "packed: bars of one note": _packed(VOICE_FAMILIES["MusicXML: bars of one note"]),
    "packed: comments": _packed(VOICE_FAMILIES["MusicXML: comments"]),
    "packed: many members": _members,
    "MIDI: notes in turn": _midi(_ON),
    "MIDI: notes at once": _midi(b"\0\x4a\x40\0\x4a\0", b"\0\x90\x4a\x40"),
    "MIDI: notes never let go": _midi(b"\1\x4a\x40", b"\0\x90\x4a\x40"),
    "MIDI: short notes": _midi(b"\1\x4a\x40\1\x4a\0", b"\0\x90\x4a\x40"),
    "MIDI: controllers": _midi(b"\0\xb0\x07\x40", _ON),
    "MIDI: metres": _midi(b"\x83\x60\xff\x58\4\1\2\x18\x08", _ON),
    "MIDI: keys": _midi(b"\x83\x60\xff\x59\2\1\0", _ON),
    "MIDI: words": _midi(b"\0\xff\5\2la" + _ON),
    "MIDI: instruments": _midi(b"\0\xc0\1" + _ON),
    "MIDI: many tracks": lambda size: _midi(_ON, tracks=max(1, min(60_000, size // 30)))(size),
    "MIDI: long rests": _midi(b"\xff\xff\x7f\x90\x4a\x40\1\x80\x4a\0"),
}
