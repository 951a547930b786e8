"""Every code is explained by examples that are true: the faulty one gives it, the mended one does not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pipeline.cli.show.explain import UnknownCodeError, explanation, overview
from pipeline.findings.codes import ALL, whole_piece
from pipeline.folder.batch import Job, check_one
from pipeline.folder.files import PieceFile
from pipeline.model.diagnostics import Severity
from tests.untyped import UNTYPED

#: Findings that no typed example can show; ``test_cli.py``, ``test_files.py``, ``stages/test_partbook.py``,
#: ``stages/test_facsimile.py`` and ``writers/test_pdf.py`` bring them about.
WITHOUT_EXAMPLE = UNTYPED | {
    "facsimile-refused",
    "marks-unreadable",
    "voice-file-broken",
    "voice-file-unsafe",
    "voice-file-bars",
    "voice-file-part",
}


def _found(example: str, folder: Path) -> tuple[set[str], set[str]]:
    """All codes, and those that are errors, that the example gives as a file. U+FFFD stands for a bad byte."""
    file = folder / "example.intav"
    file.write_bytes(whole_piece(example).encode().replace("\ufffd".encode(), b"\xe9"))
    done = check_one(Job(PieceFile(file, "example.intav", Path("example"))))
    assert not done.fault
    return (
        {finding.code.slug for finding in done.diagnostics},
        {finding.code.slug for finding in done.diagnostics if finding.severity is Severity.ERROR},
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / ".git").mkdir()  # nothing above is inherited
    return tmp_path


@pytest.mark.parametrize("slug", [slug for slug in ALL if slug not in WITHOUT_EXAMPLE])
def test_examples_are_true(slug: str, folder: Path) -> None:
    code = ALL[slug]
    faulty, _ = _found(code.faulty, folder)
    assert code.slug in faulty
    mended, errors = _found(code.mended, folder)
    assert code.slug not in mended
    assert errors == set()


def test_only_these_have_no_example() -> None:
    assert {code.slug for code in ALL.values() if not code.faulty or not code.mended} == WITHOUT_EXAMPLE


def test_slugs_are_stable_names() -> None:
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", slug) for slug in ALL)
    assert all(slug == code.slug for slug, code in ALL.items())


#: The kinds of findings that the command line promises, with the names they got here.
PROMISED = (
    "syntax",
    "unknown-letter",
    "unknown-mark",
    "no-such-course",
    "fretted-diapason",
    "fret-past-neck",
    "course-twice",
    "bar-too-short",
    "bar-too-long",
    "wide-stretch",
    "too-many-fingers",
    "slur-leaves-course",
    "diapason-clash",
    "unclosed-repeat",
    "string-would-break",
)


@pytest.mark.parametrize("slug", PROMISED)
def test_promised_kinds_are_explained_in_sentences(slug: str) -> None:
    text = "\n".join(line.plain for line in explanation(slug))
    assert ALL[slug].title in text
    assert text.count(". ") + text.count(".\n") >= 2
    assert "\nFaulty\n" in text and "\nlongneck says\n" in text and "\nMended\n" in text


def test_examples_are_shown_line_by_line_with_what_is_said_of_them() -> None:
    text = [line.plain for line in explanation("fretted-diapason")]
    assert "    | 2=8:1,4:2 7,4:0 |||" in text
    assert "    | 2=8,4:2 7,4:0 |||" in text
    assert "    Course 8 is a diapason: it runs beside the neck and cannot be stopped." in text


def test_the_list_has_every_code_once() -> None:
    assert [line.plain.split()[0] for line in overview()] == list(ALL)


def test_did_you_mean() -> None:
    with pytest.raises(UnknownCodeError, match=r"there is no finding called fretted-diapsn; perhaps fretted-diapason"):
        explanation("fretted-diapsn")
    with pytest.raises(UnknownCodeError, match="longneck explain lists them all"):
        explanation("xyzzy")
    assert next(iter(explanation("Fretted-Diapason"))).plain.startswith("fretted-diapason")
