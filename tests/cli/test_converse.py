"""The language server as an editor meets it: the real command, asked by a client of its own (pytest-lsp)."""

from __future__ import annotations

import asyncio
import random
import subprocess
import sys
import warnings
from collections.abc import Callable
from pathlib import Path

import pytest
import pytest_lsp
from lsprotocol import types as lsp
from pytest_lsp import (
    ClientServerConfig,
    LanguageClient,
    LspSpecificationWarning,
    client_capabilities,
    make_test_lsp_client,
)

from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.batch.work import check_parcel
from pipeline.folder.files import PieceFile
from pipeline.model.diagnostics import Diagnostic, Severity
from tests.editing import edited

ROOT = Path(__file__).parents[2]
HEADING = "longneck 1\ninstrument theorbo in A\neditor EB = E. B.\nsource A = Trial book\n"
PIECE = """longneck 1
title Trial 𝄞
metre C
key D minor

section Prima
| 2=X,4:2,3:3,2:1 4=3:5 3:6
| ditto
| 4.=11,4:0,3:5"a 8=3:3 2=6:0,5:2,3:2
"a EB: 𝄞 so in the source
| 1'r=X,4:2,3:3,2:1 |||
"""
_CODECS = {"utf-8": ("utf-8", 1), "utf-16": ("utf-16-le", 2), "utf-32": ("utf-32-le", 4)}
#: Seconds that anything may take on a busy machine.
LONGEST = 60.0
SEVERITIES = {
    Severity.ERROR: lsp.DiagnosticSeverity.Error,
    Severity.WARNING: lsp.DiagnosticSeverity.Warning,
    Severity.NOTE: lsp.DiagnosticSeverity.Information,
}
#: A finding as the protocol says it: severity, code, words, place.
Said = tuple[int, str, str, tuple[int, int, int, int]]

pytestmark = pytest.mark.asyncio(loop_scope="module")


@pytest_lsp.fixture(
    scope="module",
    config=ClientServerConfig(
        server_command=[sys.executable, "-m", "pipeline", "converse"], server_env={"PYTHONPATH": str(ROOT)}
    ),
)
async def client(lsp_client: LanguageClient):  # type: ignore[no-untyped-def]  # the fixture of the library is untyped
    await lsp_client.initialize_session(lsp.InitializeParams(capabilities=client_capabilities("visual-studio-code")))
    yield
    await lsp_client.shutdown_session()


class Editor:
    """One open piece, typed in by a client."""

    def __init__(self, client: LanguageClient, path: Path) -> None:
        self.client, self.path, self.version = client, path, 0
        self.uri = path.as_uri()
        self.document = lsp.TextDocumentIdentifier(self.uri)
        self.text = path.read_text(encoding="utf-8")
        item = lsp.TextDocumentItem(self.uri, "intav", self.version, self.text)
        client.text_document_did_open(lsp.DidOpenTextDocumentParams(item))

    def types(self, text: str, *, saves: bool = True) -> None:
        self.text, self.version = text, self.version + 1
        if saves:
            self.path.write_text(text, encoding="utf-8")
        self.client.text_document_did_change(
            lsp.DidChangeTextDocumentParams(
                lsp.VersionedTextDocumentIdentifier(self.version, self.uri),
                [lsp.TextDocumentContentChangeWholeDocument(text)],
            )
        )

    def closes(self) -> None:
        self.client.text_document_did_close(lsp.DidCloseTextDocumentParams(self.document))

    def at(self, typed: str, inside: int = 0) -> lsp.Position:
        """Where something is typed first, in units of UTF-16."""
        before = self.text[: self.text.index(typed) + inside]
        row = before[before.rfind("\n") + 1 :]
        return lsp.Position(before.count("\n"), len(row.encode("utf-16-le")) // 2)

    def shown(self, path: Path | None = None) -> list[Said]:
        uri = self.uri if path is None else path.as_uri()
        return sorted(map(said, self.client.diagnostics.get(uri, ())))


def said(one: lsp.Diagnostic) -> Said:
    place = one.range
    ends = (place.start.line, place.start.character, place.end.line, place.end.character)
    return int(one.severity or 0), str(one.code), one.message, ends


def checked(path: Path, text: str) -> list[Said]:
    """What ``longneck check`` finds in a saved file, in the words of the protocol; Python's codec counts the units."""
    file = PieceFile(path, path.as_posix(), Path(path.stem))
    parcel = with_files(Reader().parcel(file), file)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")

    def units(line: int, column: int) -> int:
        row = lines[line - 1] if line <= len(lines) else ""
        return len(row[: column - 1].encode("utf-16-le")) // 2

    def told(one: Diagnostic) -> Said:
        span, words = one.span, f"{one.message}\n{one.hint}" if one.hint else one.message
        start, end = units(span.line, span.start), units(span.line, span.end)
        return int(SEVERITIES[one.severity]), one.code.slug, words, (span.line - 1, start, span.line - 1, end)

    return sorted(told(one) for one in check_parcel(parcel).diagnostics if one.span.file == parcel.name)


async def until(holds: Callable[[], bool]) -> None:
    """Wait until something holds, as long as anything may take."""
    for _ in range(int(LONGEST / 0.02)):
        if holds():
            return
        await asyncio.sleep(0.02)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    (tmp_path / ".git").mkdir()
    (tmp_path / "heading.intav").write_text(HEADING, encoding="utf-8")
    (tmp_path / "piece.intav").write_text(PIECE, encoding="utf-8")
    return tmp_path


async def test_findings_as_one_types_are_those_of_check(client: LanguageClient, book: Path) -> None:
    """Severities, codes, words with their hints, and places; after each of a few edits, and after many in a row."""
    editor = Editor(client, book / "piece.intav")
    chance = random.Random(3)
    texts = [
        PIECE.replace("3:5 3:6", "3:5 3;6"),
        PIECE.replace("4=3:5", "4=3:𝄞"),
        PIECE.replace("metre C", "metre 3/2"),
    ]
    for text in [*texts, edited(edited(PIECE, chance), chance), PIECE]:
        editor.types(text)
        expected = checked(editor.path, text)
        await until(lambda expected=expected: editor.shown() == expected)
        assert editor.shown() == expected
    text = PIECE
    for _ in range(40):
        text = edited(text, chance)
        editor.types(text, saves=False)
    editor.path.write_text(text, encoding="utf-8")
    expected = checked(editor.path, text)
    await until(lambda: editor.shown() == expected)
    assert editor.shown() == expected != []
    editor.closes()
    await until(lambda: not editor.shown())
    assert not editor.shown()


async def test_a_heading_refreshes_its_pieces_typed_or_saved(client: LanguageClient, book: Path) -> None:
    piece, path = Editor(client, book / "piece.intav"), book / "heading.intav"
    heading = Editor(client, path)
    await until(lambda: piece.shown() == checked(piece.path, PIECE))
    heading.types(HEADING.replace("theorbo in A", "theorbo in B"), saves=False)
    await until(lambda: bool(heading.shown()))
    assert [code for _, code, _, _ in heading.shown()] == ["unknown-instrument"]
    heading.closes()
    await until(lambda: not client.diagnostics.get(heading.uri))
    assert not client.diagnostics.get(heading.uri)
    path.write_text(HEADING.replace("editor EB = E. B.\n", ""), encoding="utf-8")
    expected = checked(piece.path, PIECE)
    assert "undeclared-editor" in {code for _, code, _, _ in expected}
    await until(lambda: piece.shown() == expected)
    assert piece.shown() == expected
    piece.closes()


async def test_what_is_said_of_a_sign(client: LanguageClient, book: Path) -> None:
    editor = Editor(client, book / "piece.intav")
    parts = ("**E4**", "third course", "Voice 1 of 2", "lasts a dotted crotchet", "Its voice comes from")

    async def asked() -> str:
        hover = await client.text_document_hover_async(lsp.HoverParams(editor.document, editor.at('3:5"a', 1)))
        return hover.contents.value if hover and isinstance(hover.contents, lsp.MarkupContent) else ""

    told = await asked()
    if "Voice" not in told:  # a busy machine: the reading is waited for
        await asyncio.sleep(5)
        told = await asked()
    assert all(part in told for part in parts), told
    editor.closes()


async def test_what_may_be_typed(client: LanguageClient, book: Path) -> None:
    editor = Editor(client, book / "piece.intav")
    editor.types(f"{PIECE}again \n| 2=3:2'", saves=False)

    async def offered(place: lsp.Position) -> list[str]:
        found = await client.text_document_completion_async(lsp.CompletionParams(editor.document, place))
        return [item.label for item in found.items] if isinstance(found, lsp.CompletionList) else []

    assert await offered(editor.at("again ", 6)) == ["start", "Prima"]
    assert {"h", "1"} <= set(await offered(editor.at("2=3:2'", 6)))
    editor.closes()


async def test_outline_leads_and_pitches(client: LanguageClient, book: Path) -> None:
    editor = Editor(client, book / "piece.intav")
    outline = await client.text_document_document_symbol_async(lsp.DocumentSymbolParams(editor.document))
    named = [(one.name, len(getattr(one, "children", None) or ())) for one in outline or ()]
    assert named == [("Heading", 0), ("Prima", 4)]

    async def leads(typed: str, inside: int = 0) -> list[tuple[str, int]]:
        place = editor.at(typed, inside)
        found = await client.text_document_definition_async(lsp.DefinitionParams(editor.document, place))
        links = [link for link in found or () if isinstance(link, lsp.LocationLink)]  # type: ignore[union-attr]
        return [(link.target_uri, link.target_range.start.line) for link in links]

    assert await leads("ditto", 2) == [(editor.uri, editor.at("| 2=X").line)]
    assert await leads("EB:") == [((book / "heading.intav").as_uri(), 2)]
    asked = lsp.InlayHintParams(editor.document, lsp.Range(editor.at("| 2=X"), editor.at("| ditto")))
    pitches = [one.label for one in await client.text_document_inlay_hint_async(asked) or ()]
    assert pitches == ["D2 F3 A3 D4", "E4", "F4"]
    for switch, shown in ((False, 0), (True, 3)):
        client.workspace_did_change_configuration(
            lsp.DidChangeConfigurationParams({"longneck": {"pitches": switch, "unknown": 1}})
        )
        assert len(await client.text_document_inlay_hint_async(asked) or ()) == shown
    editor.closes()


async def test_tidying_is_that_of_the_command(client: LanguageClient, book: Path) -> None:
    editor = Editor(client, book / "piece.intav")
    untidy = PIECE.replace("| ditto", "|   ditto").replace("4:2,3:3", "3:3,4:2")
    editor.types(untidy)
    options = lsp.FormattingOptions(4, insert_spaces=True)
    edits = await client.text_document_formatting_async(lsp.DocumentFormattingParams(editor.document, options))
    lines = untidy.split("\n")
    for edit in reversed(edits or ()):
        assert edit.range.start.character == edit.range.end.character == 0
        lines[edit.range.start.line : edit.range.end.line] = edit.new_text.split("\n")[:-1]
    subprocess.run([sys.executable, "-m", "pipeline", "tidy", str(editor.path)], cwd=ROOT, check=True)
    assert "\n".join(lines) == editor.path.read_text(encoding="utf-8") != untidy
    editor.closes()


async def test_changes_that_are_offered(client: LanguageClient, book: Path) -> None:
    editor = Editor(client, book / "piece.intav")
    editor.types(PIECE.replace("3:5 3:6", "3:5 3;6"))
    await until(lambda: bool(editor.shown()))
    place = editor.at("3;6", 1)
    context = lsp.CodeActionContext(list(client.diagnostics[editor.uri]))
    asked = lsp.CodeActionParams(editor.document, lsp.Range(place, place), context)
    found = await client.text_document_code_action_async(asked)
    first = (found or [])[0]
    assert isinstance(first, lsp.CodeAction) and first.edit is not None and first.edit.changes is not None
    assert (first.title, first.kind, first.is_preferred) == ("Type 3:6", lsp.CodeActionKind.QuickFix, True)
    assert [one.code for one in first.diagnostics or ()] == ["syntax"]
    assert [edit.new_text for edit in first.edit.changes[editor.uri]] == ["3:6"]
    editor.closes()


@pytest.mark.parametrize("editor", ["emacs", "neovim"])
async def test_other_editors_understand_the_answers(editor: str, book: Path) -> None:
    """With the capabilities that these editors declare, which the library's client knows, and holds answers against:
    one counts in UTF-8 or UTF-32 if it may, one wants plain text."""
    client = make_test_lsp_client()
    await client.start_io(sys.executable, "-m", "pipeline", "converse", "--no-pitches", env={"PYTHONPATH": str(ROOT)})
    with warnings.catch_warnings():
        warnings.simplefilter("error", LspSpecificationWarning)
        told = await client.initialize_session(lsp.InitializeParams(capabilities=client_capabilities(editor)))
        piece = Editor(client, book / "piece.intav")
        codec, width = _CODECS[str(told.capabilities.position_encoding)]
        row = PIECE.split("\n")[9]
        offset = len(row[: row.index("EB:") + 1].encode(codec)) // width
        place = lsp.Position(9, offset)
        found = await client.text_document_definition_async(lsp.DefinitionParams(piece.document, place))
        assert len(found or ()) == 1  # type: ignore[arg-type]
        for asked in (client.text_document_document_symbol_async(lsp.DocumentSymbolParams(piece.document)),):
            assert await asked
        hints = lsp.InlayHintParams(piece.document, lsp.Range(lsp.Position(0, 0), lsp.Position(20, 0)))
        assert await client.text_document_inlay_hint_async(hints) is None
        await client.shutdown_session()


async def test_when_the_editor_is_gone_the_command_ends() -> None:
    command = [sys.executable, "-m", "pipeline", "converse"]
    done = subprocess.run(command, cwd=ROOT, input=b"", capture_output=True, timeout=LONGEST, check=False)
    assert (done.stdout, done.returncode) == (b"", 0)


async def test_without_the_library_the_command_says_what_to_install() -> None:
    code = (
        "import sys; sys.modules['pygls'] = None; sys.argv = ['longneck', 'converse']\n"
        "from pipeline.cli import main; main()"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr == "longneck: converse needs pygls: pip install 'longneck[editor]'\n"
