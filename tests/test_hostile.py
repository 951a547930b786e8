"""Hostile input: nothing raises, time stays bounded, nothing is lost. The long runs: ``python -m tests.fuzz``."""

from __future__ import annotations

import time
from collections import Counter
from pathlib import Path

import pytest

from pipeline.edition.leading import check_piece
from pipeline.findings.codes.limits import FINDINGS_CUT_OFF, TOO_MUCH
from pipeline.folder.files import PieceFile, read_image, read_voice_file
from pipeline.model import limits
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from tests.fuzz import seeds
from tests.fuzz.families import FAMILIES
from tests.fuzz.maker import Maker
from tests.fuzz.targets import TARGETS
from tests.fuzz.voicefamilies import ABC, MIDI, VOICE_FAMILIES, largest
from tests.pace import slowness

HEAD = "longneck 1\ntitle T\ninstrument theorbo in A\nmetre C\n"
CASES = {path.name: path for path in sorted(seeds.HOSTILE.glob("*/*"))}
#: Which targets take the cases of a folder.
TRIED = {
    "piece": ("reading", "check", "build", "compare", "propose", "heading"),
    "voice": ("voice",),
    "exchange": ("exchange",),
    "record": ("records",),
}


@pytest.mark.parametrize("name", CASES)
def test_what_was_found_stays_mended(name: str) -> None:
    data = CASES[name].read_bytes()
    start = time.process_time()
    for target in TRIED[CASES[name].parent.name]:
        TARGETS[target].run(data)
    took = time.process_time() - start
    assert took < 20 or took < 20 * slowness()


def test_a_thousand_events_in_a_bar_are_drawn_soon() -> None:
    """Dividing such a bar for the page once took a minute."""
    start = time.process_time()
    TARGETS["pages"].run(CASES["a-bar-of-a-thousand-events.intav"].read_bytes())
    took = time.process_time() - start
    assert took < 20 or took < 20 * slowness()


def test_a_course_sounded_again_in_one_event_is_drawn() -> None:
    """Two figures once had one name, on which the engraver's document broke."""
    TARGETS["pages"].run(CASES["a-course-sounded-again.intav"].read_bytes())


@pytest.mark.parametrize("name", FAMILIES)
def test_a_bad_shape_ends_soon(name: str) -> None:
    """60,000 characters of it; the slowest take about a second and a half on a quiet machine."""
    start = time.process_time()
    TARGETS["check"].run(FAMILIES[name](60_000).encode())
    assert time.process_time() - start < 15


@pytest.mark.parametrize("name", VOICE_FAMILIES)
def test_a_bad_shape_of_a_notation_file_ends_soon(name: str) -> None:
    start = time.process_time()
    TARGETS["voice"].run(VOICE_FAMILIES[name](min(8_000, largest(name))))
    assert time.process_time() - start < 10


@pytest.mark.parametrize("name", [name for name, target in TARGETS.items() if name != "pages"])
def test_made_up_input_breaks_no_promise(name: str) -> None:
    target = TARGETS[name]
    maker = Maker(target.seeds(), seeds.words_for(name), seed=5)
    for _ in range(20 if target.slow else 200):
        target.run(maker.input())


# --- limits ----------------------------------------------------------------------------------------------


def found(text: str) -> tuple[Diagnostic, ...]:
    return check_piece(SourceText.of("piece.intav", text))


def too_much(text: str) -> list[tuple[int, str]]:
    """Line and message of each finding that something is too much."""
    return [(one.span.line, one.message) for one in found(text) if one.code is TOO_MUCH]


def kept(text: str) -> bool:
    """Whether the formatter writes every word of a text (lines may be put in order, and joined or broken by ``+``)."""
    written = write_encoding(parse(SourceText.of("piece.intav", text)).value)
    return Counter(written.replace("+", "").split()) == Counter(text.replace("+", "").split())


AT_THE_LIMIT = {
    "line": (HEAD + "\n|> 4=3:2{}\n", " 3:3", (limits.LONGEST_LINE - 8) // 4, "20,000 characters"),
    "continued": (HEAD + "\n|> 4=3:2\n{}", "+ 3:3\n", limits.MOST_CONTINUED - 1, "1,000 lines that continue it"),
    "stops": (HEAD + "\n| 1=3:2{}\n", ">3:3", limits.MOST_STOPS - 1, "More than 32 stops in one event"),
    "under a bar": (HEAD + "editor EB = x\n\n| 1=3:2\n{}", '" EB: x\n', limits.MOST_UNDER_BAR, "More than 300 lines"),
    "bars": (HEAD + "\n{}", "| 1=3:2\n", limits.MOST_BARS, "more than 10,000 bars"),
    "lines": (HEAD + "{}", "remark x\n", limits.MOST_LINES - 4, "more than 100,000 lines"),
}


@pytest.mark.parametrize("name", AT_THE_LIMIT)
def test_at_the_limit_all_is_read_and_beyond_it_is_said_and_kept(name: str) -> None:
    frame, unit, most, said = AT_THE_LIMIT[name]
    assert too_much(frame.format(unit * most)) == []
    beyond = frame.format(unit * (most + 1))
    ((_, message),) = too_much(beyond)
    assert said in message
    assert kept(beyond)


def _abc(music: str) -> bytes:
    return ABC + f"X:1\nL:1/4\nK:C\n{music}\n".encode()


def _midi(bars: int) -> bytes:
    """So many bars of one note each."""
    track = b"\0\x90\x4a\x40\x8f\0\x80\x4a\0" * bars + b"\0\xff\x2f\0"
    return MIDI + b"MThd\0\0\0\6\0\0\0\1\1\xe0MTrk" + len(track).to_bytes(4, "big") + track


VOICE_LIMITS = {
    "slurs": (_abc("(de)" * limits.MOST_ABC_JOINTS), _abc("(de)" * (limits.MOST_ABC_JOINTS + 1)), "slurs and tuplets"),
    "chord": (_abc(f"d[{'C' * 199}]"), _abc(f"d[{'C' * 200}]"), "takes more than 200 characters"),
    "one bar": (_abc("d" * 4_000), _abc("d" * 4_097), "takes more than 4,096 characters"),
    "bars": (_midi(limits.MOST_VOICE_BARS), _midi(limits.MOST_VOICE_BARS + 1), "more than 1,000 bars"),
    "metre": (_abc("M:64/4\nd"), _abc("M:65/4\nd"), "a number above 64"),
    "long number": (_abc("d99"), _abc("d100000"), "a number larger than any music needs"),
}  # fmt: skip


@pytest.mark.parametrize("name", VOICE_LIMITS)
def test_at_the_limit_a_notation_file_is_read_and_beyond_it_is_said(name: str) -> None:
    within, beyond, said = VOICE_LIMITS[name]
    assert not any(said in one.message for one in TARGETS["voice"].run(within))
    assert [one for one in TARGETS["voice"].run(beyond) if said in one.message]


def test_dittos_cannot_multiply_a_piece_beyond_its_limits() -> None:
    text = HEAD + "\n| 1=3:2\n" + "".join(f"| ditto {2**number}\n" for number in range(14))
    assert too_much(text) == [(20, "The piece has more than 10,000 bars, 50,000 events or 60,000 stops; "
                                   "from here on it is left out.")]  # fmt: skip


def test_playing_again_and_again_ends() -> None:
    assert too_much(HEAD + "\n" + "| 1=3:2\nagain start\n" * 100) == []
    ((line, message),) = too_much(HEAD + "\n" + "| 1=3:2\nagain start\n" * 500)
    assert line == 7
    assert "100,000 bars; playback ends there" in message


def test_courses_end_at_the_limit() -> None:
    courses = "".join(f"course {number} = C3\n" for number in range(1, limits.MOST_COURSES + 2))
    ((line, message),) = too_much(f"longneck 1\ninstrument x\n{courses}\n| 1=3:2\n")
    assert line == limits.MOST_COURSES + 3
    assert "course 25 and higher are left out" in message


def test_findings_beyond_the_limit_are_counted_and_count_as_an_error() -> None:
    text = HEAD + "\n" + "x\n" * (limits.MOST_FINDINGS + 7)
    *listed, last = found(text)
    assert len(listed) == limits.MOST_FINDINGS
    assert last.code is FINDINGS_CUT_OFF and last.severity is Severity.ERROR
    assert last.message.startswith("There are more than 10,000 findings")


def test_no_message_is_longer_than_anybody_reads() -> None:
    for one in found(HEAD.replace("metre C", "metre " + "9" * 15_000) + "\n| 1=3:2\n"):
        assert len(one.message) <= limits.MOST_WORDS + 3


# --- paths -----------------------------------------------------------------------------------------------

OUTSIDE = ("../secret.xml", "/etc/passwd", "link.xml", "folder/secret.xml", "a\0b.xml", "../" * 200 + "etc/passwd")


@pytest.mark.parametrize("name", OUTSIDE)
def test_what_a_heading_names_cannot_leave_the_collection(name: str, tmp_path: Path) -> None:
    """By steps upwards, by a whole path, by a link, by a folder that is a link."""
    book = tmp_path / "book"
    (book / ".git").mkdir(parents=True)
    (tmp_path / "secret.xml").write_text("<secret/>")
    (book / "link.xml").symlink_to(tmp_path / "secret.xml")
    (book / "folder").symlink_to(tmp_path, target_is_directory=True)
    (book / "1.intav").touch()
    piece = PieceFile(book / "1.intav", "1.intav", Path("1"))
    assert read_voice_file(piece, name).refused
    assert read_voice_file(piece, name).data == b""
    assert read_image(piece, name).missing
