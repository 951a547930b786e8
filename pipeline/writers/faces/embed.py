"""Rules of a style sheet that bring faces along, cut down to what a page shows."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping

from pipeline.writers.faces.setting import SIGNS, TEXT
from pipeline.writers.faces.store import face
from pipeline.writers.faces.woff2 import woff2

#: Names of our own, or a face of the machine could stand in; then faces that are as wide, for what cannot read ours.
TEXT_FAMILY, SIGNS_FAMILY = "Longneck Text", "Longneck Signs"
FAMILY = f"'{TEXT_FAMILY}', '{SIGNS_FAMILY}', 'Times New Roman', 'Liberation Serif', Times, serif"
#: The signs stand in every weight and slant as they are: a browser would thicken and slant them.
_SIGN_RANGE = "font-weight:1 1000"
_ORIGIN = (
    "/*Longneck Text: made from Liberation Serif, (c) Google, Red Hat (OFL 1.1). "
    "Longneck Signs: made from DejaVu Sans, (c) Bitstream*/"
)


def face_rules(shown: Mapping[str, Iterable[str]]) -> str:
    """One rule for each face with its characters; those that it lacks are left out, a face without any too."""
    rules = "".join(_rule(name, frozenset(face(name).glyphs.keys() & set(shown[name]))) for name in sorted(shown))
    return _ORIGIN + rules if rules else ""


def _rule(name: str, characters: frozenset[str]) -> str:
    if not characters - {" "}:
        return ""
    packed = b64encode(woff2(name, characters)).decode()
    return (
        f'@font-face{{font-family:"{SIGNS_FAMILY if name == SIGNS else TEXT_FAMILY}";{_style(name)};'
        f'src:url(data:font/woff2;base64,{packed})format("woff2")}}'
    )


def _style(name: str) -> str:
    if name == SIGNS:
        return _SIGN_RANGE
    bold, italic = next(key for key, value in TEXT.items() if value == name)
    return f"font-weight:{'bold' if bold else 'normal'};font-style:{'italic' if italic else 'normal'}"
