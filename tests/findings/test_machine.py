"""Reports for machines: the standards' rules, the escapes, the bytes; hostile names and texts among them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from unicodedata import category
from urllib.parse import unquote

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.findings import machine
from pipeline.findings.codes import ALL
from pipeline.findings.machine.annotations import escaped, escaped_property
from pipeline.findings.machine.sarif import message_text
from pipeline.findings.machine.summary import MOST, markdown
from pipeline.findings.tally import Key, Tally
from pipeline.folder.files import Spool
from tests.findings.tallies import ERROR, FIXED, NOTE, WARNING, found, one, related, taken
from tests.outside.machine import junit_suites, valid, valid_sarif
from tests.outside.runner import obeyed


def whole(form: str) -> Callable[[Tally], bytes]:
    """A report as one text: its parts are checked together."""
    return lambda tally: b"".join(machine.WRITERS[form](tally))


WRITERS = {form: whole(form) for form in machine.WRITERS}
write_report, write_sarif, write_junit, write_annotations, write_summary = WRITERS.values()
A = "book/01.intav"
HOSTILE = [
    "a\r\nb\x1b[31m\x00",
    "::error::x,y:%0A%",
    "<b>&amp;|`*_[x](y){0}$@",
    "é 琵琶 \U0001d11e \udcff",
    "]]>",
    '"\\',
    "##[error]x ::error::y\n::stop-commands::z\x9b\u202e",
]
RICH = taken(
    ("book/02.intav", (found(ERROR, file="book/02.intav", related=related(2), bar="7", hint="Do this."),)),
    (A, (found(WARNING, 5), found(NOTE, 6), found(ERROR, 2, 1, 9, file="book/heading.intav"))),
    ("c.intav", ()),
    ("d.intav", (found(FIXED, 1, 1, 1, file="d.intav"),)),
    known={Key(A, "an-oddity", "| 2=7,3:0 2=8"): 1, Key(A, "a-slip", "| no more"): 2},
    faults=("d.intav",),
)


def sarif(tally: Tally) -> dict[str, object]:
    (run,) = valid_sarif(write_sarif(tally))["runs"]
    return run


# --- all forms --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", WRITERS)
def test_the_same_bytes_again_and_no_carriage_return(form: str) -> None:
    data = WRITERS[form](RICH)
    assert data == WRITERS[form](RICH)
    assert data.endswith(b"\n") and b"\r" not in data
    data.decode()


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_texts_and_names(text: str) -> None:
    """They come through whole, or as the sign for what cannot be said; and stay inside their field."""
    name = text.replace("\0", "")
    finding = found(ERROR, file=name, message=text, hint=text, related=related(2, text))
    tally = taken((name, (finding,)), text=f"{text}\n" * 9)
    shown = "".join("\ufffd" if sign in "\0\x1b\udcff" else sign for sign in text)
    for form, write in WRITERS.items():
        commands = obeyed(write(tally).decode())
        assert len(commands) == (form == "github"), "no form has a command but that which is made of them"

    valid(write_report(tally), "report")
    (result,) = sarif(tally)["results"]  # type: ignore[misc]
    uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert unquote(uri) == name.encode(errors="replace").decode()
    (case,) = junit_suites(write_junit(tally))[0]
    assert " ".join(shown.split())[:5] in " ".join(case.result[0].message.split())
    (line,) = write_annotations(tally).decode().splitlines()
    assert line.count("::") >= 2 and re.fullmatch(r"::error file=[^,:]*,line=4,.*", line)
    rows = write_summary(tally).decode().splitlines()
    assert sum(row.startswith("| ") for row in rows) == 2  # the head of the table and one row


@settings(deadline=None)  # the time of a validator on a busy machine is not the subject
@given(st.text(st.characters(), max_size=12), st.text(st.characters(), max_size=12))
def test_any_text_any_form(name: str, text: str) -> None:
    tally = taken((name, (found(ERROR, file=name, message=text),)), text=f"{text}\n" * 9)
    written = {form: write(tally) for form, write in WRITERS.items()}
    if text:
        valid(written["json"], "report")
    valid_sarif(written["sarif"])
    junit_suites(written["junit"])
    assert len(written["github"].decode().split("\n")) == 2
    for form, data in written.items():
        assert not [sign for sign in data.decode() if sign != "\n" and category(sign) in ("Cc", "Cf")]
        assert len(obeyed(data.decode())) == (form == "github")


# --- JSON -------------------------------------------------------------------------------------------------------


def test_the_report_in_json() -> None:
    value = valid(write_report(RICH), "report")
    assert value["pieces"] == 4
    assert value["counts"] == {"errors": 3, "warnings": 0, "notes": 1, "known": 1}
    assert [(file["file"], file["is_piece"], file["fault"], len(file["findings"])) for file in value["files"]] == [
        ("book/02.intav", True, False, 1),
        ("book/heading.intav", False, False, 1),
        (A, True, False, 2),
        ("c.intav", True, False, 0),
        ("d.intav", True, True, 1),
    ]
    assert value["gone"] == [{"piece": A, "code": "a-slip", "line": "| no more", "count": 2}]


# --- SARIF ------------------------------------------------------------------------------------------------------


def test_a_result_in_sarif() -> None:
    run = sarif(RICH)
    result = run["results"][0]  # type: ignore[index]
    assert result["message"] == {"text": "It is wrong. Do this."}
    assert result["level"] == "error"
    (location,) = result["locations"]
    assert location == {
        "physicalLocation": {
            "artifactLocation": {"uri": "book/02.intav", "uriBaseId": "SRCROOT", "index": 0},
            "region": {"startLine": 4, "startColumn": 3, "endLine": 4, "endColumn": 5},
        },
        "logicalLocations": [{"name": "7", "fullyQualifiedName": "bar 7"}],
    }
    (other,) = result["relatedLocations"]
    assert other["id"] == 1 and other["message"] == {"text": "Given first here."}
    assert other["physicalLocation"]["artifactLocation"]["uri"] == "book/heading.intav"


def test_rules_are_referred_to_by_place_and_name() -> None:
    """3.27.6: ruleIndex is the place of the rule in the driver's rules."""
    run = sarif(RICH)
    rules = run["tool"]["driver"]["rules"]  # type: ignore[index]
    assert [rule["id"] for rule in rules] == ["a-question", "a-slip", "an-oddity", "no-room"]
    for result in run["results"]:  # type: ignore[attr-defined]
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
    help_ = rules[1]["help"]
    assert help_["text"].startswith("Because it is one.") and "| 1=7,3:2" in help_["text"]
    assert "```\nlongneck 1\n" in help_["markdown"]


def test_artifacts_are_referred_to_by_place_and_name() -> None:
    run = sarif(RICH)
    for result in run["results"]:  # type: ignore[attr-defined]
        artifact = result["locations"][0]["physicalLocation"]["artifactLocation"]
        assert run["artifacts"][artifact["index"]]["location"]["uri"] == artifact["uri"]  # type: ignore[index]


def test_columns_count_characters() -> None:
    """3.14.27, columnKind: a clef beyond the first plane is one column, where UTF-16 would count two."""
    run = sarif(one(found(ERROR, 4, 4, 5), text="\U0001d11e |x\n" * 9))
    assert run["columnKind"] == "unicodeCodePoints"
    region = run["results"][0]["locations"][0]["physicalLocation"]["region"]  # type: ignore[index]
    line = "\U0001d11e |x"
    assert line[region["startColumn"] - 1 : region["endColumn"] - 1] == "x"


def test_a_place_between_two_signs_is_an_insertion_point() -> None:
    """3.30.2: equal columns."""
    region = sarif(one(found(ERROR, 4, 8, 8)))["results"][0]["locations"][0]["physicalLocation"]["region"]  # type: ignore[index]
    assert region["startColumn"] == region["endColumn"] == 8


@pytest.mark.parametrize(
    ("name", "uri"),
    [
        ("a b.intav", "a%20b.intav"),
        ("é#1?.intav", "%C3%A9%231%3F.intav"),
        ("c:d.intav", "c%3Ad.intav"),  # RFC 3986, 4.2: else it would be a scheme
        ("50%.intav", "50%25.intav"),
    ],
)
def test_names_are_relative_references(name: str, uri: str) -> None:
    """3.4.4: with a uriBaseId, the uri is relative; 3.14.14: the base itself has none, so that no machine is named."""
    run = sarif(taken((name, (found(ERROR, file=name),))))
    artifact = run["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]  # type: ignore[index]
    assert (artifact["uri"], artifact["uriBaseId"]) == (uri, "SRCROOT")
    assert "uri" not in run["originalUriBaseIds"]["SRCROOT"]  # type: ignore[index]


def test_a_file_outside_of_the_collection_has_an_absolute_uri_and_no_base() -> None:
    run = sarif(taken(("/else/a b.intav", (found(ERROR, file="/else/a b.intav"),))))
    artifact = run["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]  # type: ignore[index]
    assert artifact["uri"] == "file:///else/a%20b.intav" and "uriBaseId" not in artifact


def test_known_findings_are_suppressed_outside_of_the_source() -> None:
    """3.27.23: suppressions on all results or on none; 3.35.2: external."""
    states = {result["ruleId"]: result["suppressions"] for result in sarif(RICH)["results"]}  # type: ignore[attr-defined]
    assert states["an-oddity"][0]["kind"] == "external"
    assert [states[slug] for slug in ("a-question", "a-slip", "no-room")] == [[], [], []]
    assert "suppressions" not in sarif(one(found(ERROR)))["results"][0]  # type: ignore[index]


def test_fingerprints_are_those_of_the_baseline() -> None:
    tally = one(found(ERROR, 4), found(ERROR, 6))
    for noted, result in zip(tally.noted, sarif(tally)["results"], strict=True):  # type: ignore[call-overload]
        assert set(result["partialFingerprints"].values()) == {f"{noted.key.fingerprint}:{noted.number}"}


def test_braces_and_brackets_are_no_placeholders_and_no_links() -> None:
    """3.11.5: braces are doubled; 3.11.6: [text](target) is a link."""
    assert message_text("a {0} [b](c)") == "a {{0}} [b\\](c)"


def test_a_fault_of_the_program_is_told() -> None:
    """3.20.14: executionSuccessful."""
    assert sarif(RICH)["invocations"] == [{"executionSuccessful": False}]
    assert sarif(one(found(ERROR)))["invocations"] == [{"executionSuccessful": True}]


def test_every_kind_of_finding_makes_a_rule() -> None:
    run = sarif(one(*(found(code) for code in ALL.values())))
    rules = run["tool"]["driver"]["rules"]  # type: ignore[index]
    assert {rule["id"] for rule in rules} == set(ALL)
    assert all(rule["help"]["text"] and rule["shortDescription"]["text"].endswith(".") for rule in rules)


# --- JUnit XML --------------------------------------------------------------------------------------------------


def test_a_piece_is_a_case() -> None:
    suites = {suite.name: suite for suite in junit_suites(write_junit(RICH))}
    assert {name: (suite.tests, suite.failures, suite.errors) for name, suite in suites.items()} == {
        "book": (3, 2, 0),
        "collection": (2, 0, 1),
    }
    cases = {case.name: case for suite in suites.values() for case in suite}
    (failure,) = cases["02.intav"].result
    assert failure.type == "a-slip"
    assert failure.message == "book/02.intav:4:3 It is wrong. Do this."
    assert cases["c.intav"].is_passed and not cases["c.intav"].system_out
    assert cases["01.intav"].is_passed  # a note, and a known warning
    assert "book/01.intav:5:3 known warning an-oddity: It is wrong." in cases["01.intav"].system_out
    assert cases["d.intav"].is_error


def test_what_fails_a_piece_is_one_failure() -> None:
    (suite,) = junit_suites(write_junit(one(found(ERROR, 4), found(ERROR, 5), found(ERROR, 6))))
    (failure,) = next(iter(suite)).result
    assert failure.message.endswith(" (and 2 more)")
    assert len(failure.text.splitlines()) == 3


# --- annotations ------------------------------------------------------------------------------------------------


def test_one_line_for_each_new_finding_errors_first() -> None:
    lines = write_annotations(RICH).decode().splitlines()
    assert [line.partition(" ")[0] for line in lines] == ["::error", "::error", "::error", "::notice"]
    assert lines[0] == (
        "::error file=book/02.intav,line=4,endLine=4,col=3,endColumn=5,title=a-slip%3A a slip::It is wrong. Do this."
    )


def test_escapes_of_workflow_commands() -> None:
    """Source: escapeData and escapeProperty in the toolkit of GitHub Actions (from memory)."""
    assert escaped("100 %\r\n: ,") == "100 %25%0D%0A: ,"
    assert escaped_property("100 %\r\n: ,") == "100 %25%0D%0A%3A %2C"


# --- Markdown ---------------------------------------------------------------------------------------------------


def test_the_summary() -> None:
    assert write_summary(RICH).decode() == (
        "## longneck\n"
        "\n"
        "4 pieces: 3 errors, 1 note, 1 known.\n"
        "\n"
        "| file | errors | warnings | notes | known |\n"
        "|:--|--:|--:|--:|--:|\n"
        "| `book/02.intav` | 1 |  |  |  |\n"
        "| `book/heading.intav` | 1 |  |  |  |\n"
        "| `book/01.intav` |  |  | 1 | 1 |\n"
        "| `d.intav` | 1 |  |  |  |\n"
        "| **all** | 3 |  | 1 | 1 |\n"
        "\n"
        "### What fails\n"
        "\n"
        "- `book/02.intav:4:3` **a-slip** It is wrong. Do this.\n"
        "- `book/heading.intav:2:1` **a-slip** It is wrong.\n"
        "- `d.intav:1:1` **no-room** It is wrong.\n"
        "\n"
        "### Known findings that no longer occur\n"
        "\n"
        "- `book/01.intav` a-slip: `| no more`\n"
    )


def test_a_clean_run_is_one_sentence() -> None:
    assert write_summary(one()).decode() == "## longneck\n\n1 piece: nothing to report.\n"


def test_long_lists_are_cut() -> None:
    text = write_summary(taken(*((f"{n}.intav", (found(ERROR, file=f"{n}.intav"),)) for n in range(MOST + 9)))).decode()
    assert text.count("\n| `") == MOST and "\n| … | | | | |\n| **all** | 59 |" in text
    assert text.endswith("\n- and 9 more\n")


def test_text_stays_text() -> None:
    assert markdown("a|b <i>*x*</i>\n`c`") == r"a\|b \<i\>\*x\*\</i\> \`c\`"


def test_the_json_of_a_run_agrees_with_that_of_a_piece() -> None:
    """A finding has the fields of ``findings.json``, and two more."""
    (file,) = json.loads(write_report(one(found(ERROR))))["files"]
    (finding,) = file["findings"]
    assert set(finding) - {"known", "fingerprint"} == {
        "code", "severity", "title", "message", "hint", "bar", "place", "related",
    }  # fmt: skip


def test_reports_come_in_parts_and_read_the_run_as_often_as_they_like() -> None:
    """Nothing of a large run is held as a whole: a tally on the disk gives the same reports, each part small."""
    spool, listed = Spool(), taken(*((f"{n % 3}/{n}.intav", (found(code),)) for n, code in enumerate(ALL.values())))
    for file in listed.files:
        spool.append(file)
    stored = Tally(spool, listed.gone, listed.compared)
    for form, write in WRITERS.items():
        parts = list(machine.WRITERS[form](stored))
        assert b"".join(parts) == write(listed)
        assert form == "sarif" or max(map(len, parts)) < 2000  # SARIF explains each kind of finding, once
    assert list(spool) == list(listed.files)
    assert all(one.finding.code is ALL[one.finding.code.slug] for one in stored.noted)
