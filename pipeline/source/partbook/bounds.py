"""How much a notation file may ask for: its reader takes ever longer for some things that a few bytes can say."""

from __future__ import annotations

import re
from collections import Counter

from lxml import etree

from pipeline.model.limits import (
    LONGEST_ABC_BAR,
    MOST_ABC_JOINTS,
    MOST_IN_CHORD,
    MOST_IN_METRE,
    MOST_VOICE_BARS,
    MOST_VOICE_ELEMENTS,
    MOST_VOICE_JOINTS,
    MOST_VOICE_MEASURES,
    MOST_VOICE_NOTES,
)
from pipeline.source.partbook.safety import BrokenError, TooMuchError

#: Elements that the reader follows from one end to the other.
_JOINTS = frozenset({"slur", "tied", "wedge", "bracket", "dashes", "octave-shift", "glissando", "slide", "pedal"})
#: Elements whose numbers it divides time by.
_DIVIDING = ("beats", "beat-type", "actual-notes", "normal-notes")
#: What is read of MusicXML: the children of these elements that the reader is given.
_READ = {
    "score-partwise": {"part-list", "part"},
    "part-list": {"score-part"},
    "score-part": {"part-name"},
    "part": {"measure"},
    "measure": {"note", "attributes", "backup", "forward"},
    "attributes": {"divisions", "key", "time", "staves", "transpose"},
    "note": {
        "grace", "cue", "chord", "pitch", "rest", "unpitched", "duration", "tie", "voice", "type", "dot", "accidental",
        "time-modification", "staff", "notations", "lyric",
    },
    "notations": {"slur", "tied", "tuplet", "fermata", "ornaments"},
    "ornaments": {"trill-mark", "turn", "inverted-turn", "mordent", "inverted-mordent"},
}  # fmt: skip
_NUMBER = re.compile(r"\d+")
#: A number of MusicXML, or a sum of some: of anything else the reader takes all figures together as one number.
_SUM = re.compile(r"\s*\d+\s*(?:\+\s*\d+\s*)*", re.ASCII)
#: Of ABC: a metre, on a line of its own or inside one; the other lines that are no music; the length of an undotted
#: letter; the end of a tune's heading.
_METRE = re.compile(r"^M:.*\n?|\[M:[^\]\n]*\]|M:\S*", re.MULTILINE)
#: One that the reader takes as it stands: of any other it reads all figures together as one number.
_PLAIN_METRE = re.compile(r"\[?M:\s*(?:none|C\|?|\d{1,2}/\d{1,2})\s*(?:\]|%.*)?\s*")
_TOLD = re.compile(r"^(?:[A-Za-z]:|%).*", re.MULTILINE)
_LENGTH = re.compile(r"^L:", re.MULTILINE)
_KEY = re.compile(r"^K:", re.MULTILINE)
#: A name of a chord or other text over a letter; letters sounded at once.
_TEXT_ABOVE = re.compile(r'"[^"\n]*"')
_AT_ONCE = re.compile(r"\[(?![A-Za-z]:)[^\]\n]*")
#: Of kern: a metre, a bar line.
_KERN_METRE = re.compile(r"\*M(\d[^\s]*)")
_KERN_BAR = re.compile(r"^=", re.MULTILINE)


def bounded_musicxml(root: etree._Element) -> None:
    """Raises BrokenError, TooMuchError if a score has what no score needs."""
    counts = Counter(node.tag for node in root.iter() if isinstance(node.tag, str))
    bars = max((sum(1 for _ in part.iterchildren("measure")) for part in root.iter("part")), default=0)
    for many, most, what in (
        (counts.total(), MOST_VOICE_ELEMENTS, "elements"),
        (counts["note"], MOST_VOICE_NOTES, "notes"),
        (counts["measure"], MOST_VOICE_MEASURES, "bars in all its parts"),
        (bars, MOST_VOICE_BARS, "bars"),
        (sum(counts[name] for name in _JOINTS), MOST_VOICE_JOINTS, "slurs, ties and other lines"),
    ):
        if many > most:
            raise TooMuchError(f"it has more than {most:,} {what}; keep only the part that is sung")
    for node in root.iter(*_DIVIDING):
        what = "metre" if node.tag.startswith("beat") else "tuplet"
        text = "".join(map(str, node.itertext()))
        if not _SUM.fullmatch(text):
            raise BrokenError(f"a {what} in it is not a number")
        _sensible(text, what)


def without_the_unread(root: etree._Element) -> None:
    """Leave only what is read of a score: chord symbols, for one, take the reader far longer than notes."""
    for name, known in _READ.items():
        for node in root.iter(name):
            for child in [child for child in node if child.tag not in known]:
                node.remove(child)


#: Of what ABC sets before a letter: decorations by name; a trill, mordents, a roll by their own signs (ABC 2.1, 4.14).
_DECORATED = re.compile(r"!([a-z()<>.+0-9]+)!|([~TMP])(?=[~.uvHJKLMOPRSTW\"^_=]*[A-Ga-g])")
_SHORT = {"~": "roll", "T": "trill", "M": "mordent", "P": "inverted mordent"}


def unread_signs(text: str) -> tuple[str, ...]:
    """What stands over the letters of an ABC tune that the reader passes over: ornaments, fermatas, by name."""
    found = _DECORATED.findall(_TEXT_ABOVE.sub("", _TOLD.sub("", text)))
    return tuple(dict.fromkeys(name or _SHORT[sign] for name, sign in found))


def unread_ornaments(root: etree._Element) -> tuple[str, ...]:
    """The ornaments of a score that no sign is known for, by the names of their elements; what prolongs or alters
    another ornament is none by itself."""
    known = _READ["ornaments"] | {"wavy-line", "accidental-mark"}
    names = (str(child.tag) for node in root.iter("ornaments") for child in node if isinstance(child.tag, str))
    return tuple(dict.fromkeys(name.replace("-", " ") for name in names if name not in known))


def bounded_abc(text: str) -> str:
    """A tune in which the bars are those typed: with its metres, the reader would cut long ones anew, which can take
    it seconds for one bar. Texts over the notes, such as names of chords, are left out: they take it far longer than
    notes. Raises BrokenError, TooMuchError."""
    text = "\n".join(text.splitlines()) + "\n"
    metres = [found.group() for found in _METRE.finditer(text)]
    for metre in metres:
        _sensible(metre, "metre")
    text = "".join(line if _TOLD.match(line) else _bounded_line(line) for line in text.splitlines(keepends=True))
    music = _TOLD.sub("", text)
    if music.count("(") > MOST_ABC_JOINTS:
        raise TooMuchError(f"it has more than {MOST_ABC_JOINTS:,} slurs and tuplets; keep only the part that is sung")
    if max(map(len, music.split("|"))) > LONGEST_ABC_BAR:
        raise TooMuchError(f"a bar in it takes more than {LONGEST_ABC_BAR:,} characters; put its bar lines in")
    if not metres or "|" not in music:
        return _METRE.sub(lambda found: found.group() if _PLAIN_METRE.fullmatch(found.group()) else "", text)
    key = _KEY.search(text)
    unmetred = _METRE.sub("", text)
    if key is None or _LENGTH.search(text, 0, key.start()):
        return unmetred
    return _KEY.sub(f"L:{_unit(metres[0])}\nK:", unmetred, count=1)


def _bounded_line(line: str) -> str:
    music = _TEXT_ABOVE.sub("", line)
    if any(len(found.group()) > MOST_IN_CHORD for found in _AT_ONCE.finditer(music)):
        raise BrokenError(f"a chord in it takes more than {MOST_IN_CHORD} characters")
    return music


def _unit(metre: str) -> str:
    """The length of a letter where none is told: a semiquaver in a metre shorter than three crotchets, else a quaver
    (ABC standard 2.1, 3.1.7)."""
    numbers = [int(number) for number in _NUMBER.findall(metre)]
    if len(numbers) < 2 or not numbers[-1]:
        return "1/8"
    return "1/16" if sum(numbers[:-1]) / numbers[-1] < 0.75 else "1/8"


def bounded_kern(text: str) -> None:
    """Raises BrokenError, TooMuchError if a file has what no music needs."""
    for metre in _KERN_METRE.findall(text):
        _sensible(metre, "metre")
    if len(_KERN_BAR.findall(text)) > MOST_VOICE_BARS:
        raise TooMuchError(f"it has more than {MOST_VOICE_BARS:,} bars; keep only the part that is sung")


def _sensible(text: str, what: str) -> None:
    numbers = _NUMBER.findall(text)
    if any(len(number) > 3 or int(number) > MOST_IN_METRE for number in numbers):
        raise BrokenError(f"a {what} in it has a number above {MOST_IN_METRE}")
    if sum(map(int, numbers)) > 2 * MOST_IN_METRE:
        raise BrokenError(f"a {what} in it has too many parts")
