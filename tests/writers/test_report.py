"""The critical report as page and table.

The table is held against RFC 4180 (grammar in section 2, read by a small reader here) and Python's ``csv``; the list of
beginnings that spreadsheets run is that of the OWASP page on CSV injection (from memory): = + - @ tab and carriage
return, and their full-width forms.
"""

from __future__ import annotations

import csv
import io
import re
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from pipeline.edition.apparatus import apparatus
from pipeline.edition.lead import lead
from pipeline.edition.spell import spell
from pipeline.model.apparatus import Apparatus, Kind
from pipeline.model.record import replace
from pipeline.writers.report import write_report, write_table
from pipeline.writers.report.table import COLUMNS, plain, shielded
from tests import made

HEADING = (
    made.HEADING.replace("title Trial", "title {title}\nsource A = Print\nsource B = Copy\neditor EB = E. B.")
    + "metre C\nkey D minor\n"
)
MUSIC = """\
|< 4=3:2!
| 2=4:3!4:5"a,2:1! 2!4=3:1? |!
"a EB: digits confused
"a !B =1+1
! 2=4:5 4=3:1
"""
HERE = "events 1–2: 3 on the fourth course with 1 on the second course; a minim"
EVIL = '<script>alert(1)</script> & "quoted" <b>'


def report(music: str = MUSIC, title: str = "Trial") -> Apparatus:
    return apparatus(spell(lead(made.resolved(music, HEADING.format(title=title))[0])))


def rows(table: bytes) -> list[list[str]]:
    """RFC 4180, section 2, quoted fields only: file = record *(CRLF record) CRLF; field = DQUOTE *(TEXTDATA / COMMA /
    CR / LF / 2DQUOTE) DQUOTE."""
    text = table.decode("utf-8")
    field = r'"((?:[^"]|"")*)"'
    found = []
    place = 0
    record = re.compile(rf"{field}(?:,{field})*\r\n")
    while place < len(text):
        match = record.match(text, place)
        assert match is not None, text[place : place + 60]
        found.append([each.replace('""', '"') for each in re.findall(field, match[0])])
        place = match.end()
    return found


# --- the table ----------------------------------------------------------------------------------------------


def test_the_table_row_by_row() -> None:
    found = rows(write_table(report()))
    assert tuple(found[0]) == COLUMNS
    assert [row[:10] for row in found[1:] if row[5] not in ("octave restored", "octave in question")] == [
        ["upbeat", "1", "3", "", "sign", "added", "A", "nothing", "2", ""],
        ["1", "", "", "", "bar", "emended", "A", "for events 1–2: 5 on the fourth course; a crotchet", HERE, ""],
        ["1", "1", "2", "", "sign", "added", "A", "nothing", "1", ""],
        ["1", "1", "4", "", "sign", "emended", "A", "5", "3", "digits confused"],
        ["1", "1", "4", "", "sign", "variant", "B", "“=1+1”", "3", ""],
        ["1", "2", "", "", "rhythm sign", "emended", "A", "crotchet", "minim", ""],
        ["1", "2", "3", "", "sign", "doubtful", "A", "1 (doubtful)", "1", ""],
        ["1", "", "", "", "bar line", "added", "A", "nothing", "bar line", ""],
    ]


def test_the_table_as_the_library_reads_it() -> None:
    table = write_table(report())
    assert list(csv.reader(io.StringIO(table.decode("utf-8"), newline=""))) == rows(table)
    assert not table.startswith(b"\xef\xbb\xbf")


ANYTHING = st.one_of(
    st.text(),
    st.text("=+-@\t\r\n\"',;0123456789.:/ abTRUEfalse＝＋－＠“", max_size=12),
)
_RUNS = re.compile(r"^[\s\"']*$|^\s*[=+\-@\t\r＝＋－＠]")


@given(ANYTHING)
def test_no_cell_runs_and_every_cell_gives_the_reading_back(text: str) -> None:
    cell = shielded(text)
    assert plain(cell) == text
    assert cell in (text, f"“{text}”")
    assert not _RUNS.match(cell) or not cell.strip(" \r\n\t\"'")


@given(st.one_of(st.integers().map(str), st.floats().map(str), st.dates().map(str), st.booleans().map(str), ANYTHING))
def test_no_bare_cell_can_be_a_date_or_a_truth_or_another_number(text: str) -> None:
    """As a spreadsheet would take it. A whole number of up to nine figures stays what it is; ``inf`` and ``nan`` are
    words to a spreadsheet."""
    cell = shielded(text)
    if cell != text or not cell or re.fullmatch("0|[1-9][0-9]{0,8}", cell) or cell in ("inf", "nan"):
        return
    assert cell.casefold() not in ("true", "false")
    for form in ("%d.%m.%Y", "%Y-%m-%d", "%H:%M", "%d %B", "%d/%m", "%m-%d", "%d %b %Y", "%b %d"):
        try:
            datetime.strptime(cell, form)
        except ValueError:
            continue
        raise AssertionError(cell)
    try:
        float(cell.replace(",", "."))
    except ValueError:
        return
    raise AssertionError(cell)


@pytest.mark.parametrize(
    "text", ["5", "12", "X", "", "nothing", "3 on the fifth course", "“pien-”", "digits confused; 1/7", "c. 1620"]
)
def test_readings_stand_without_quotes_of_their_own(text: str) -> None:
    assert shielded(text) == text


@pytest.mark.parametrize(
    "text",
    ["=1+1", "-3", "@A1", "3:5", "8.", "1-2", "1/2", "007", "1e5", "3 May", "May 3", "TRUE", "\t=1", "12345678901"],
)
def test_what_a_spreadsheet_would_run_or_change_is_quoted(text: str) -> None:
    assert shielded(text) == f"“{text}”"


@given(ANYTHING, ANYTHING, ANYTHING)
def test_the_table_gives_back_whatever_was_typed(source: str, here: str, reason: str) -> None:
    made_ = report("| 1=3:2!")
    (entry,) = [entry for entry in made_.entries if entry.kind is Kind.ADDED]
    entry = replace(entry, source=source, here=here, reason=reason)
    _, row = rows(write_table(replace(made_, entries=(entry,))))
    assert tuple(map(plain, row[7:10])) == (source, here, reason)


# --- the page -----------------------------------------------------------------------------------------------


def on_page(music: str = MUSIC, title: str = "Trial", **more: str) -> etree._Element:
    return etree.HTML(write_report(report(music, title), "trial.intav", **more))


def words(element: etree._Element) -> str:
    return " ".join("".join(element.itertext()).split())


def table(page: etree._Element, name: str) -> list[list[str]]:
    return [[words(cell) for cell in row] for row in page.findall(f".//table[@aria-labelledby='{name}']//tr")]


def test_the_page_row_by_row() -> None:
    """Columns: bar, event, course, reading in the source, emendation, reason (common practice, no source)."""
    assert table(on_page(), "readings") == [
        ["Bar", "Event", "Course", "Sign", "Source", "In the source", "In the edition", "Remark"],
        ["upbeat", "1", "3", "sign", "A", "nothing", "2", "added"],
        ["1", "", "", "bar", "A", "for events 1–2: 5 on the fourth course; a crotchet", HERE, "emended"],
        ["1", "1", "2", "sign", "A", "nothing", "1", "added"],
        ["1", "1", "4", "sign", "A", "5", "3", "emended: digits confused (EB)"],
        ["1", "1", "4", "sign", "B", "=1+1", "3", ""],
        ["1", "2", "", "rhythm sign", "A", "crotchet", "minim", "emended"],
        ["1", "2", "3", "sign", "A", "1 (doubtful)", "1", "doubtful"],
        ["1", "", "", "bar line", "A", "nothing", "bar line", "added"],
    ]


def test_sources_that_agree_stand_in_one_row() -> None:
    music = '| 2=3:2"a 3:3"b\n"a !B 3:5\n"a !C 3:5\n"a !D 3:3\n"b !C omits'
    assert [row[1:] for row in table(on_page(music), "readings")[1:]] == [
        ["1", "3", "sign", "B, C", "5", "2", ""],
        ["1", "3", "sign", "D", "3", "2", ""],
        ["2", "3", "sign", "C", "nothing", "3", ""],
    ]


def test_nothing_in_the_report_is_code() -> None:
    """Nothing looks as the encoding types it: a value over something, a fret on a course, stops struck together."""
    music = '| 2=X,4:3,2:1 8=3:1 4.=_3:0\n!B 2=X,4:3 4=3:1\'T 3:0.\n!C omits\n| 1=3:0 ||"a\n!B 2=3:0 ? | 1=3:2\n"a !C |'
    page = on_page(music)
    assert not list(page.iter("code"))
    said = " ".join(cell for row in table(page, "readings") for cell in row)
    assert not re.search(r"\d\.?=|\b\d+:\d|\d,\d|[|_]", said), said


def test_a_source_is_described_in_parts() -> None:
    heading = HEADING.replace(
        "source A = Print", "source A = Libro primo, Venice, shelfmark Mus. 12, date c. 1604, state f. 3 torn, stained"
    )
    found = apparatus(spell(lead(made.resolved("| 1=3:2", heading.format(title="Trial"))[0])))
    page = etree.HTML(write_report(found, "x"))
    assert [words(each) for each in page.find(".//dl[@class='sources']/dd")] == [
        "Shelfmark: Mus. 12",
        "Date: c. 1604",
        "State: f. 3 torn, stained",
    ]
    assert page.find(".//dl[@class='sources']/dd").text == "Libro primo, Venice"


def test_the_counts_are_those_of_the_entries() -> None:
    rows_ = [[words(cell) for cell in row] for row in on_page().findall(".//table[@class='counts']/tbody/tr")]
    assert rows_[:4] == [["emended", "3"], ["added", "3"], ["doubtful", "1"], ["variant", "1"]]


def test_octaves_stand_apart() -> None:
    page = on_page('| 2=1:0"a 3:2\n"a > octave up')
    assert [row[3:6] for row in table(page, "voices")[1:]] == [
        ["", "an octave above its sound", "fixed by the editor"],
        ["A3", "A4", "octave restored"],
    ]
    assert words(page).count("The edition is the source, sign for sign.") == 1


def test_places_lead_to_the_proof_page() -> None:
    page = on_page(proof="proof.html")
    assert page.findall(".//td/a")[0].get("href") == "proof.html#b1e1c3"
    assert on_page().findall(".//td/a") == []


def test_markup_stays_text() -> None:
    music = f'| 1=3:2!"a\n"a EB: {EVIL}\n"a !B {EVIL}'
    page = on_page(music, EVIL)
    assert [words(found) for found in page.iter("h1", "title")] == [f"{EVIL}, critical report", EVIL]
    assert page.findall(".//script") == []
    assert EVIL in table(page, "readings")[1][7]
    assert EVIL in table(page, "readings")[2][5]


def test_a_piece_without_a_title_has_its_name() -> None:
    assert words(on_page(title="").find(".//h1")) == "trial.intav"


def test_the_same_piece_gives_the_same_bytes() -> None:
    assert write_report(report(), "x") == write_report(report(), "x")
    assert write_table(report()) == write_table(report())
