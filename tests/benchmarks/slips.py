"""One-character slips in typing, and which are caught: ``python -m tests.benchmarks.slips``.

In each piece of the anthology characters of the tablature, drawn by chance, are left out, doubled, or changed for their
neighbours on a US keyboard. A slip is caught by the grammar if a finding of reading appears, by sense if another kind
does. What changes nothing, such as white space, is no slip.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from pathlib import Path

from pipeline.findings.codes import syntax
from pipeline.folder.files import discover, headings_above, read_file
from pipeline.model.diagnostics import Code
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from pipeline.source.read import sounding_piece

ROOT = Path(__file__).parents[2] / "fixtures" / "anthology"
ROWS = ("1234567890-=", "qwertyuiop[]", "asdfghjkl;'", "zxcvbnm,./")
SHIFTED = dict(zip('!?*:>"_|&+', "1/8;.'-\\7=", strict=True))
#: Slips tried in each piece.
TRIED = 150
GRAMMAR = {code.slug for code in vars(syntax).values() if isinstance(code, Code)}


def neighbours(sign: str) -> str:
    """The signs whose keys touch the key of this one in its row."""
    key = SHIFTED.get(sign, sign.lower())
    row = next((row for row in ROWS if key in row), "")
    at = row.find(key)
    return row[max(at - 1, 0) : at] + row[at + 1 : at + 2] if row else ""


def slips(text: str, chance: random.Random) -> list[str]:
    """Texts with one slip each, in a line of tablature."""
    places = [at for line in re.finditer(r"^[|+].*$", text, re.M) for at in range(line.start(), line.end())]
    made = []
    for _ in range(TRIED):
        at = places[chance.randrange(len(places))]
        sign = text[at]
        ways = ["", sign * 2, *neighbours(sign)]
        if not sign.isspace():
            made.append(text[:at] + ways[chance.randrange(len(ways))] + text[at + 1 :])
    return made


def main() -> None:
    """Print the shares."""
    chance = random.Random(1)
    found: Counter[str] = Counter()
    for file in discover([ROOT]):
        above = tuple(read_file(heading.path, heading.name).source for heading in headings_above(file))
        text = read_file(file.path, file.name).source.text
        clean = Counter(one.code.slug for one in sounding_piece(SourceText.of("a", text), above).diagnostics)
        same = write_encoding(parse(SourceText.of("a", text), above).value)
        for slip in slips(text, chance):
            source = SourceText.of("a", slip)
            if write_encoding(parse(source, above).value) == same:
                continue
            new = Counter(one.code.slug for one in sounding_piece(source, above).diagnostics) - clean
            found["grammar" if GRAMMAR & set(new) else "sense" if new else "not"] += 1
    total = sum(found.values())
    for name in ("grammar", "sense", "not"):
        print(f"{name:8} {found[name] / total:.3f} of {total}")


if __name__ == "__main__":
    main()
