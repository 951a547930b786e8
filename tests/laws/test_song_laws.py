"""Laws of songs: whatever is typed, or stands in a notation file, is answered with a song and findings."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.model.text import SourceText
from pipeline.source.read import song_of, sounding_piece
from tests.source.test_parse_laws import TEXTS, spans

HEAD = "longneck 1\ninstrument theorbo in A\nmetre C\nlayer v = Canto, clef C1, 1 flat\nlayer b = Basso, clef F4\n\n"
LINES = [
    *(
        "| 1=7,3:0",
        "| 2=7,3:0 8,4:2",
        "| -",
        "| ditto",
        "| ditto 2",
        "|> 1=7 2=8",
        "metre none",
        "ending 1",
        "ending end",
    ),
    *("v 2=D5 C", "v -", "v D", "v 1=_D5", "v 4/3=D5 C B4 2=-", "v 2=?! !D5", "v 2=D5?", "v 1=H5", "v2 0=D5"),
    *("b 2=G2'6-5 F'#", "b 2.=D3'4-# G", "c A B", "c -", "1 la- _", "1 _", "1 sì_a mor", "2 -", "9 x- y-"),
    *("gap 3 bars", "stanza 1 x", "stanza 12 Lieti prati", "values 1:2", "section A"),
]
SONGS = st.lists(st.sampled_from(LINES), max_size=30).map(lambda lines: HEAD + "\n".join(lines))


@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.one_of(SONGS, TEXTS))
def test_any_song_is_read(text: str) -> None:
    """No fault of the program; findings lie inside the text; ids differ; each bar's notes follow one another."""
    source = SourceText.of("trial.intav", text)
    sounding = sounding_piece(source).value
    song = song_of(sounding)
    for span in spans(song.diagnostics):
        assert 1 <= span.line <= max(1, len(source.lines)) and 1 <= span.start <= span.end
        assert span.end <= len(source.line(span.line)) + 1
    for line in song.value.lines:
        assert len({note.id for note in line.notes}) == len(line.notes)
        typed: dict[str, int] = {}
        for note in line.notes:
            bar = note.id.partition("n")[0]
            assert typed.setdefault(bar, note.onset) <= note.onset
            assert note.length > 0
            typed[bar] = note.onset + note.length
            assert 0 <= note.bar < len(sounding.bars)
            assert not (note.tied and note.pitch is None)
