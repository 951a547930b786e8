"""MusicXML read by verovio's importer, in a process of its own with a time limit: it hangs, or is killed by the system,
on things that the standard allows. Those are the importer's faults, and ours to avoid."""

from __future__ import annotations

import subprocess
import sys

import pytest
from lxml import etree

from pipeline.writers.musicxml import write_musicxml
from tests import made
from tests.songs import copied
from tests.writers.test_musicxml import valid_musicxml

_READ = """
import sys, verovio
toolkit = verovio.toolkit()
assert toolkit.loadData(sys.stdin.read())
print(toolkit.renderToSVG(1).count('class="note'))
"""
HEADING = made.HEADING + "metre C\nkey D minor\n"
MUSIC = {
    "a lost stop alone": "| 4=X,3:3 3:2 3:* 3:?",
    "bars without values behind measured ones": "| 4=X,3:3 3:2 3:3 3:2\n|> 'n=X,3:3 3:2 3:3\nmetre none\n| X,3:3 3:2",
    "measured again": "| 4=X,3:3 3:2 3:3 3:2\nmetre none\n| X,3:3 3:2 3:3\nmetre 3/2\n| 2=X,3:3 3:2 3:3",
    "marks of both hands": "| 4'u=X,3:3,2:1 4'd=X,3:3,2:1 3:2.'2 3:3'b,2:1'b\n| 2'b=3:3,2:1 X>3:3>2:1",
}


def imported(content: bytes) -> tuple[int, list[str]]:
    """Notes drawn on the first page, and what the importer complains of."""
    read = subprocess.run(
        [sys.executable, "-c", _READ], input=content.decode(), capture_output=True, text=True, timeout=60, check=True
    )
    return int(read.stdout.split()[-1]), [line for line in read.stderr.splitlines() if "[Error]" in line]


@pytest.mark.parametrize("music", MUSIC.values(), ids=list(MUSIC))
def test_is_read_by_the_engravers_importer(music: str) -> None:
    drawn, _ = imported(write_musicxml(made.score(music, HEADING)))
    assert drawn > 4


def test_signs_of_the_tablature_are_no_articulations() -> None:
    """It says so of each, and there are hundreds in a piece."""
    _, complaints = imported(write_musicxml(made.score(MUSIC["marks of both hands"].replace("'2", ""), HEADING)))
    assert not complaints


@pytest.mark.parametrize("copy", [False, True])
def test_a_piece_without_music_is_valid(copy: bool) -> None:
    """A part must hold a measure. Source: MusicXML 4.0, element part."""
    score = copied("", HEADING) if copy else made.score("", HEADING)
    root = valid_musicxml(score)
    assert all(part.find("measure") is not None for part in root.iter("part"))


def test_the_staves_have_a_tempo_and_the_sign_of_the_source() -> None:
    """Source: MusicXML 4.0, elements sound and time."""
    root = etree.fromstring(write_musicxml(made.score("| 4=X,3:3 3:2 3:3 3:2\nmetre C|\n| 1=3:3", HEADING)))
    assert [sound.get("tempo") for sound in root.iter("sound")] == ["72"]
    staves = root.xpath("part[@id='staves']//time/@symbol")
    assert staves == ["common", "cut"]
