"""Records of answers in the words of the protocol, and its positions as lines and columns."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from lsprotocol import types as lsp
from pygls import uris

from pipeline.desk.converse.record import (
    Choice,
    Fix,
    FixKind,
    Group,
    Lead,
    Outlined,
    Part,
    Pitched,
    TextChange,
    Told,
)
from pipeline.desk.converse.units import Paper, Units
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import Span

SOURCE = "longneck"
_SEVERITIES = {
    Severity.ERROR: lsp.DiagnosticSeverity.Error,
    Severity.WARNING: lsp.DiagnosticSeverity.Warning,
    Severity.NOTE: lsp.DiagnosticSeverity.Information,
}
_PARTS = {
    Part.HEADING: lsp.SymbolKind.Namespace,
    Part.SECTION: lsp.SymbolKind.Class,
    Part.BAR: lsp.SymbolKind.Field,
}
_GROUPS = {
    Group.LINE: lsp.CompletionItemKind.Keyword,
    Group.VALUE: lsp.CompletionItemKind.Value,
    Group.INSTRUMENT: lsp.CompletionItemKind.EnumMember,
    Group.MARK: lsp.CompletionItemKind.Operator,
    Group.LABEL: lsp.CompletionItemKind.Reference,
    Group.SECTION: lsp.CompletionItemKind.Module,
    Group.NAME: lsp.CompletionItemKind.Constant,
}
_KINDS = {
    FixKind.HINT: lsp.CodeActionKind.QuickFix,
    FixKind.MISPRINT: lsp.CodeActionKind.QuickFix,
    FixKind.PIN: lsp.CodeActionKind.RefactorRewrite,
}
#: A place in another file: its address, and its text.
Elsewhere = Callable[[str], tuple[str, Paper] | None]


@dataclass(frozen=True, slots=True)
class Translator:
    """Between the places of one text and the positions of an editor that counts in these units."""

    paper: Paper
    units: Units

    def position(self, line: int, column: int) -> lsp.Position:
        return lsp.Position(*self.paper.position(line, column, self.units))

    def range(self, span: Span) -> lsp.Range:
        return lsp.Range(self.position(span.line, span.start), self.position(span.line, span.end))

    def place(self, position: lsp.Position) -> tuple[int, int]:
        return self.paper.place(position.line, position.character, self.units)

    # --- findings -------------------------------------------------------------------------------------------

    def finding(self, one: Diagnostic, elsewhere: Elsewhere) -> lsp.Diagnostic:
        """A finding, its hint on a line of its own."""
        related = []
        for other in one.related:
            found = elsewhere(other.span.file)
            if found is not None:
                uri, paper = found
                place = Translator(paper, self.units).range(other.span)
                related.append(lsp.DiagnosticRelatedInformation(lsp.Location(uri, place), other.message))
        return lsp.Diagnostic(
            self.range(one.span),
            f"{one.message}\n{one.hint}" if one.hint else one.message,
            _SEVERITIES[one.severity],
            code=one.code.slug,
            source=SOURCE,
            related_information=related or None,
        )

    # --- answers --------------------------------------------------------------------------------------------

    def hover(self, told: Told, *, marked: bool) -> lsp.Hover:
        """``marked``: the editor shows Markdown; else plain text."""
        if marked:
            says = "\n\n".join(_escaped(said) for said in told.says)
            kind = lsp.MarkupKind.Markdown
        else:
            says = "\n".join(said.replace("**", "").replace("`", "") for said in told.says)
            kind = lsp.MarkupKind.PlainText
        return lsp.Hover(lsp.MarkupContent(kind, says), self.range(told.span))

    def completion(self, choices: Sequence[Choice], line: int) -> lsp.CompletionList:
        items = [
            lsp.CompletionItem(
                one.text.strip(),
                kind=_GROUPS[one.group],
                detail=one.says or None,
                sort_text=f"{number:04}",
                filter_text=one.text,
                text_edit=lsp.TextEdit(self.range(Span("", line, one.start, one.end)), one.text),
            )
            for number, one in enumerate(choices)
        ]
        return lsp.CompletionList(is_incomplete=False, items=items)

    def edits(self, changes: Iterable[TextChange]) -> list[lsp.TextEdit]:
        return [
            lsp.TextEdit(lsp.Range(self.position(one.line, one.start), self.position(one.end_line, one.end)), one.text)
            for one in changes
        ]

    def action(self, fix: Fix, uri: str, shown: Sequence[lsp.Diagnostic]) -> lsp.CodeAction:
        """A change, with the finding that it mends among those that the editor shows there."""
        mends = [one for one in shown if fix.code and one.code == fix.code]
        kind = lsp.CodeActionKind.QuickFix if fix.code else _KINDS[fix.kind]
        return lsp.CodeAction(
            fix.title,
            kind=kind,
            diagnostics=mends or None,
            is_preferred=True if fix.sure else None,
            edit=lsp.WorkspaceEdit(changes={uri: self.edits(fix.changes)}),
        )

    def symbol(self, one: Outlined) -> lsp.DocumentSymbol:
        end = len(self.paper.line(one.last_line)) + 1
        first = self.position(one.name_span.line, 1)
        return lsp.DocumentSymbol(
            one.name,
            _PARTS[one.part],
            lsp.Range(first, self.position(one.last_line, end)),
            self.range(one.name_span),
            detail=one.says or None,
            children=[self.symbol(inner) for inner in one.inside] or None,
        )

    def link(self, lead: Lead, uri: str, paper: Paper) -> lsp.LocationLink:
        target = Translator(paper, self.units).range(lead.target)
        return lsp.LocationLink(uri, target, target, self.range(lead.origin))

    def inlay(self, one: Pitched) -> lsp.InlayHint:
        return lsp.InlayHint(self.position(one.line, one.column), one.names, padding_left=True)


def path_of(uri: str) -> Path | None:
    """The file that an address names; None for a text that has none yet."""
    if not uri.startswith("file:"):
        return None
    found = uris.to_fs_path(uri)
    return Path(found) if found else None


def uri_of(path: Path) -> str:
    return uris.from_fs_path(path.absolute().as_posix()) or path.absolute().as_uri()


def _escaped(said: str) -> str:
    """Words as Markdown: what is typed stands between back quotes already, and bold between stars; nothing else is
    markup. A back quote that is typed itself would end the code too early."""
    parts = said.split("`")
    return "`".join(part if number % 2 else _plain(part) for number, part in enumerate(parts))


def _plain(text: str) -> str:
    for sign in ("\\", "_", "#", "<", ">", "[", "]", "|"):
        text = text.replace(sign, f"\\{sign}")
    return text
