"""Random songs for laws: sung lines with words, a bass with figures, chord letters, over random tablature."""

from __future__ import annotations

from hypothesis import strategies as st

from tests.laws import music

HEADING = """\
longneck 1
title Law
instrument {instrument}
metre C
layer v = Canto, clef C1
layer v2 = Tenore, clef C4, 1 flat
layer b = Basso, clef F4, 2 flats
"""

#: Values that fill a bar of four crotchets.
RHYTHMS = ("1", "2 2", "4 4 2", "4. 8 2", "2. 4", "8/3 8 8 4 2", "8 8 8 8 16 16 8 4", "4 2 4", "4.. 16 2")

_letters = st.sampled_from(["C", "D", "E", "F", "G", "A", "B", "F#", "Bb", "Eb", "C#", "Bn"])
_joins = st.sampled_from(["", "", "", "_"])
_edits = st.sampled_from(["", "", "", "", "?", "!"])
_figures = st.sampled_from(["", "", "'6", "'#", "'6,5", "'4-3", "'b", "'#6,4-5,3", "'n"])
_words = st.sampled_from(
    ["la", "Du-", "ri", "pian-", "ti_a", "e_o-", "_", "-", "l’oc-", "chi,", "ri!ra", "ti!-", "-!la", "_!la"]
)


def _notes(octaves: st.SearchStrategy[int], figured: bool) -> st.SearchStrategy[tuple[str, int]]:
    """A line that fills its bar, and how many words it takes."""

    @st.composite
    def line(draw: st.DrawFn) -> tuple[str, int]:
        made, sung, before = [], 0, ""
        for value in draw(st.sampled_from(RHYTHMS)).split():
            head = "" if value == before and "/" not in value else f"{value}="
            before = value.partition("/")[0]
            if draw(st.integers(0, 7)) == 0:
                made.append(f"{head or value + '='}-")
                continue
            sung += 1
            figures = draw(_figures) if figured else ""
            mark = "'f" if head and "/" not in value and draw(st.integers(0, 9)) == 0 else ""
            over = f"{head[:-1]}{mark}=" if head else ""
            made.append(f"{over}{draw(_joins)}{draw(_letters)}{draw(octaves)}{draw(_edits)}{figures}")
        return " ".join(made), sung

    return line()


@st.composite
def _bar(draw: st.DrawFn) -> str:
    """A bar of tablature of four crotchets with layers under it."""
    made = []
    for value in draw(st.sampled_from([rhythm for rhythm in RHYTHMS if "/" not in rhythm])).split():
        made.append(f"{value}={draw(music.chords)}")
    lines = ["| " + " ".join(made) + draw(st.sampled_from(["", "", " ||", " .||"]))]
    for name in ("v", "v2"):
        if draw(st.booleans()):
            notes, sung = draw(_notes(st.integers(4, 5), figured=False))
            lines.append(f"{name} {notes}")
            for stanza in range(1, draw(st.integers(0, 2)) + 1):
                if sung:
                    lines.append(f"{stanza} " + " ".join(draw(_words) for _ in range(sung)))
    if draw(st.booleans()):
        lines.append("b " + draw(_notes(st.integers(2, 3), figured=True))[0])
    return "\n".join(lines)


pieces = st.lists(_bar(), min_size=1, max_size=4).map("\n".join)
headings = st.sampled_from(["theorbo in A", "theorbo in G", "archlute in G"]).map(
    lambda instrument: HEADING.format(instrument=instrument)
)
