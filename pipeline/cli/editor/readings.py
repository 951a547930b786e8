"""Whole readings, done by other processes while nothing is typed: the newest text of each piece, never two of one."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import Executor
from contextlib import suppress
from typing import TypeVar

from pipeline.folder.batch.ends import made_of
from pipeline.folder.conversing import Conversation, Document, Whole, propose_parcel, read_parcel

#: Seconds without a change before a piece is read through, and before misprints are looked for after that.
PAUSE, IDLE = 0.35, 1.5

T = TypeVar("T")
Shows = Callable[[Document], None]


class Readings:
    """Has the open pieces read through, one after another for each."""

    def __init__(self, conversation: Conversation, executor: Executor, shows: Shows) -> None:
        """``shows`` is called with a document whose findings are whole again."""
        self._conversation, self._executor, self._shows = conversation, executor, shows
        self._tasks: dict[str, asyncio.Task[None]] = {}
        self._due: dict[str, asyncio.Event] = {}
        self._read: dict[str, asyncio.Event] = {}
        self.misprints = True

    def wanted(self, uri: str) -> None:
        """A piece has changed."""
        self._read.setdefault(uri, asyncio.Event()).clear()
        due = self._due.setdefault(uri, asyncio.Event())
        due.set()
        if uri not in self._tasks or self._tasks[uri].done():
            self._tasks[uri] = asyncio.ensure_future(self._keep(uri))

    def forget(self, uri: str) -> None:
        """A piece is closed."""
        task = self._tasks.pop(uri, None)
        if task is not None:
            task.cancel()
        self._due.pop(uri, None)
        waiting = self._read.pop(uri, None)
        if waiting is not None:
            waiting.set()

    async def read(self, uri: str, seconds: float) -> None:
        """Wait until a piece has been read through as it stands, but no longer than this."""
        waiting = self._read.get(uri)
        if waiting is not None:
            with suppress(TimeoutError, asyncio.TimeoutError):
                await asyncio.wait_for(waiting.wait(), seconds)

    def end(self) -> None:
        for uri in tuple(self._tasks):
            self.forget(uri)

    async def _keep(self, uri: str) -> None:
        """Read the piece whenever it has changed and then rested."""
        due = self._due[uri]
        while True:
            await due.wait()
            while due.is_set():
                due.clear()
                await asyncio.sleep(PAUSE)
            document = self._conversation.looked_at(uri)
            if document is None:
                return
            await self._through(document)
            if not self.misprints or document.is_heading:
                continue
            with suppress(TimeoutError, asyncio.TimeoutError):
                await asyncio.wait_for(due.wait(), IDLE)
            if not due.is_set():
                await self._propose(document)

    async def _through(self, document: Document) -> None:
        packed, revision = document.packed, document.revision
        if packed is None or document.is_heading:
            self._read[document.uri].set()
            return
        parcel = packed.whole()
        try:
            whole = await self._done(read_parcel, parcel)
        except Exception as error:  # however the work ended, there is a finding that says so, as in every run
            whole = Whole(made_of(parcel.name, error).diagnostics)
        if document.take_whole(revision, whole):
            self._read[document.uri].set()
            self._shows(document)

    async def _propose(self, document: Document) -> None:
        packed, revision = document.packed, document.revision
        if packed is None or document.look is None:
            return
        with suppress(Exception):  # nobody asked for it: what cannot be had is not missed
            proposals = await self._done(propose_parcel, packed.parcel, document.path)
            document.take_proposals(revision, proposals)

    def _done(self, work: Callable[..., T], *given: object) -> Awaitable[T]:
        return asyncio.wrap_future(self._executor.submit(work, *given))
