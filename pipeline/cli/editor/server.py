"""The language server: what an editor says is heard, what it asks is answered.

Findings of the signs are shown as soon as nothing more waits to be heard; those of the reading follow. An answer always
speaks of the text as it stands: what has not been looked at yet is looked at first.
"""

from __future__ import annotations

import asyncio
import gc
import os
import sys
from collections.abc import Iterable
from pathlib import Path

from lsprotocol import types as lsp
from pygls.lsp.server import LanguageServer

from pipeline import __version__
from pipeline.cli.crews import MEGABYTES, SECONDS
from pipeline.cli.editor.readings import Readings
from pipeline.cli.editor.settings import Settings
from pipeline.cli.editor.translating import Translator, path_of, uri_of
from pipeline.desk.converse.choices import choices
from pipeline.desk.converse.fixes import fixes
from pipeline.desk.converse.hover import hover
from pipeline.desk.converse.leads import leads
from pipeline.desk.converse.outline import outline
from pipeline.desk.converse.pitches import pitches
from pipeline.desk.converse.rewriting import tidied
from pipeline.desk.converse.units import Paper, Units
from pipeline.folder.batch import Limits
from pipeline.folder.batch.guard import Workers
from pipeline.folder.conversing import Conversation, Document
from pipeline.folder.conversing.documents import Shown

#: Seconds between two looks at the files that open pieces depend on.
LOOKS = 1.0
#: Seconds that an answer about a sign waits for the reading.
PATIENCE = 3.0
#: Processes that read, side by side.
WORKERS = 2
#: Seconds in which what is said at once is heard before the signs are read.
_HEARD = 0.004


class Server(LanguageServer):
    """One conversation with one editor."""

    def __init__(self, settings: Settings) -> None:
        # All of a text is sent at each change: editors and longneck agree on the ends of lines, other programs on more.
        super().__init__("longneck", __version__, lsp.TextDocumentSyncKind.Full)
        self.settings = settings
        self.conversation = Conversation()
        self.workers = Workers(WORKERS, Limits(SECONDS, MEGABYTES))
        self.readings = Readings(self.conversation, self.workers, self.show)
        self._waiting: dict[str, asyncio.TimerHandle] = {}
        self._files: asyncio.Task[None] | None = None
        self._told: dict[str, tuple[str, ...]] = {}

    # --- texts ----------------------------------------------------------------------------------------------

    def heard(self, touched: Iterable[str]) -> None:
        """These texts, or what they inherit, have changed."""
        for uri in touched:
            waiting = self._waiting.pop(uri, None)
            if waiting is not None:
                waiting.cancel()
            if uri in self.conversation.documents:
                self._waiting[uri] = asyncio.get_running_loop().call_later(_HEARD, self._look, uri)
                self.readings.wanted(uri)

    def _look(self, uri: str) -> None:
        self._waiting.pop(uri, None)
        document = self.conversation.looked_at(uri)
        if document is not None:
            self.show(document)

    def begin(self) -> None:
        self.workers.prepare(1)
        gc.collect()
        gc.freeze()  # what is loaded stays: the collector need not walk through it between two key presses
        self._files = asyncio.ensure_future(self._watch())

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(LOOKS)
            self.heard(self.conversation.changed_files())

    def end(self) -> None:
        if self._files is not None:
            self._files.cancel()
        self.readings.end()
        self.workers.shutdown(wait=False, cancel_futures=True)

    def close(self, uri: str) -> None:
        waiting = self._waiting.pop(uri, None)
        if waiting is not None:
            waiting.cancel()
        self.readings.forget(uri)
        document = self.conversation.documents.get(uri)
        self.heard(self.conversation.closed(uri))
        for told in self._told.pop(uri, ()):
            still = any(told in others for others in self._told.values())
            if not still:
                self.text_document_publish_diagnostics(lsp.PublishDiagnosticsParams(told, []))
        if document is not None and document.is_heading and document.path is not None:
            self._told_again(document.path)

    def _told_again(self, heading: Path) -> None:
        """A heading that is open no more has the findings that the pieces find in it."""
        for document in self.conversation.documents.values():
            if document.packed is not None and heading in document.packed.headings:
                self.show(document)
                return

    # --- findings -------------------------------------------------------------------------------------------

    def show(self, document: Document) -> None:
        """Have the editor show all findings that follow from a text as they now are."""
        told = []
        for shown in self.conversation.shown(document):
            uri = shown.uri or (uri_of(shown.path) if shown.path is not None else document.uri)
            told.append(uri)
            self.text_document_publish_diagnostics(self._published(shown, uri, document))
        self._told[document.uri] = tuple(told)

    def _published(self, shown: Shown, uri: str, document: Document) -> lsp.PublishDiagnosticsParams:
        translator = Translator(shown.paper, self.units)
        findings = [translator.finding(one, lambda name: self.named(document, name)) for one in shown.found]
        return lsp.PublishDiagnosticsParams(uri, findings, shown.version)

    def named(self, document: Document, name: str) -> tuple[str, Paper] | None:
        """The address and the text of what findings on a piece call so."""
        if name == document.source.name:
            return document.uri, document.paper
        packed = document.packed
        if packed is None:
            return None
        for path, raw in zip(packed.headings, packed.parcel.headings, strict=True):
            if raw.name == name:
                return uri_of(path), Paper(raw.data.decode(errors="replace"))
        return None

    # --- what an editor can do ------------------------------------------------------------------------------

    @property
    def units(self) -> Units:
        return Units(str(getattr(self.workspace.position_encoding, "value", self.workspace.position_encoding)))

    @property
    def reads_markdown(self) -> bool:
        text = self.client_capabilities.text_document
        formats = text.hover.content_format if text is not None and text.hover is not None else None
        return lsp.MarkupKind.Markdown in (formats or ())

    @property
    def follows_links(self) -> bool:
        text = self.client_capabilities.text_document
        return bool(text is not None and text.definition is not None and text.definition.link_support)

    def asked(self, uri: str) -> tuple[Document, Translator] | None:
        document = self.conversation.looked_at(uri)
        return None if document is None else (document, Translator(document.paper, self.units))

    def switch(self, settings: Settings) -> None:
        changed, self.settings = settings != self.settings, settings
        self.readings.misprints = settings.misprints
        workspace = self.client_capabilities.workspace
        if changed and workspace is not None and workspace.inlay_hint and workspace.inlay_hint.refresh_support:
            self.workspace_inlay_hint_refresh(None)


def serve(settings: Settings) -> None:
    """Answer on standard output what is asked on standard input, until the editor says that it is over. Whatever else
    this process may print goes to the stream of errors, so that it cannot get between the answers."""
    server = server_of(settings)
    with os.fdopen(os.dup(1), "wb") as answers:
        os.dup2(2, 1)
        try:
            server.start_io(sys.stdin.buffer, answers)
        finally:
            server.end()


def server_of(settings: Settings) -> Server:
    """The server with everything it answers."""
    server = Server(settings)
    _hear(server)
    _answer(server)
    return server


def _hear(server: Server) -> None:
    @server.feature(lsp.INITIALIZE)
    def initialize(params: lsp.InitializeParams) -> None:
        server.settings = server.settings.with_those_of(params.initialization_options)
        server.readings.misprints = server.settings.misprints

    @server.feature(lsp.INITIALIZED)
    def initialized(params: lsp.InitializedParams) -> None:
        server.begin()

    @server.feature(lsp.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: lsp.DidOpenTextDocumentParams) -> None:
        text = params.text_document
        server.heard(server.conversation.opened(text.uri, path_of(text.uri), text.text, text.version))

    @server.feature(lsp.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: lsp.DidChangeTextDocumentParams) -> None:
        uri = params.text_document.uri
        text = server.workspace.get_text_document(uri).source
        server.heard(server.conversation.opened(uri, path_of(uri), text, params.text_document.version))

    @server.feature(lsp.TEXT_DOCUMENT_DID_CLOSE)
    def closed(params: lsp.DidCloseTextDocumentParams) -> None:
        server.close(params.text_document.uri)

    @server.feature(lsp.WORKSPACE_DID_CHANGE_CONFIGURATION)
    def configured(params: lsp.DidChangeConfigurationParams) -> None:
        server.switch(server.settings.with_those_of(params.settings))


def _answer(server: Server) -> None:
    @server.feature(lsp.TEXT_DOCUMENT_HOVER)
    async def hovered(params: lsp.HoverParams) -> lsp.Hover | None:
        uri = params.text_document.uri
        if server.asked(uri) is None:
            return None
        await server.readings.read(uri, PATIENCE)
        asked = server.asked(uri)
        if asked is None or asked[0].look is None:
            return None
        document, translator = asked
        line, column = translator.place(params.position)
        look = asked[0].look
        told = hover(look, document.names, document.insight, line, column, document.proposals)
        return None if told is None else translator.hover(told, marked=server.reads_markdown)

    @server.feature(lsp.TEXT_DOCUMENT_COMPLETION, lsp.CompletionOptions(trigger_characters=["'", '"', " "]))
    def complete(params: lsp.CompletionParams) -> lsp.CompletionList | None:
        asked = server.asked(params.text_document.uri)
        if asked is None or asked[0].look is None:
            return None
        line, column = asked[1].place(params.position)
        return asked[1].completion(choices(asked[0].look, line, column), line)

    @server.feature(lsp.TEXT_DOCUMENT_FORMATTING)
    def tidy(params: lsp.DocumentFormattingParams) -> list[lsp.TextEdit] | None:
        asked = server.asked(params.text_document.uri)
        if asked is None or asked[0].look is None:
            return None
        document, translator = asked
        look = asked[0].look
        return translator.edits(tidied(look.source, document.text, look.inherited))

    kinds = [lsp.CodeActionKind.QuickFix, lsp.CodeActionKind.RefactorRewrite]

    @server.feature(lsp.TEXT_DOCUMENT_CODE_ACTION, lsp.CodeActionOptions(code_action_kinds=kinds))
    def act(params: lsp.CodeActionParams) -> list[lsp.CodeAction] | None:
        asked = server.asked(params.text_document.uri)
        if asked is None or asked[0].look is None:
            return None
        document, translator = asked
        first, last = (translator.place(place) for place in (params.range.start, params.range.end))
        look = asked[0].look
        found = fixes(look, document.text, document.found, document.insight, document.proposals, first, last)
        made = [translator.action(fix, params.text_document.uri, params.context.diagnostics) for fix in found]
        only = tuple(_word(kind) for kind in params.context.only or ())
        return [one for one in made if not only or _word(one.kind).startswith(only)]

    @server.feature(lsp.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    def outlined(params: lsp.DocumentSymbolParams) -> list[lsp.DocumentSymbol] | None:
        asked = server.asked(params.text_document.uri)
        if asked is None or asked[0].look is None:
            return None
        return [asked[1].symbol(one) for one in outline(asked[0].look)]

    @server.feature(lsp.TEXT_DOCUMENT_DEFINITION)
    def defined(params: lsp.DefinitionParams) -> list[lsp.LocationLink] | list[lsp.Location] | None:
        asked = server.asked(params.text_document.uri)
        if asked is None or asked[0].look is None:
            return None
        document, translator = asked
        links = []
        for lead in leads(asked[0].look, *translator.place(params.position)):
            where = server.named(document, lead.target.file)
            if where is not None:
                links.append(translator.link(lead, *where))
        if server.follows_links:
            return links
        return [lsp.Location(link.target_uri, link.target_selection_range) for link in links]

    @server.feature(lsp.TEXT_DOCUMENT_INLAY_HINT)
    def between(params: lsp.InlayHintParams) -> list[lsp.InlayHint] | None:
        asked = server.asked(params.text_document.uri)
        if not server.settings.pitches or asked is None or asked[0].look is None:
            return None
        document, translator = asked
        first, last = params.range.start.line + 1, params.range.end.line + 1
        return [translator.inlay(one) for one in pitches(asked[0].look, document.names, first, last)]


def _word(kind: object) -> str:
    """A kind of change by the protocol's name; a kind stands for all that begin with it."""
    return str(getattr(kind, "value", kind))
