"""The cluster as an executor of the standard library: pieces in, what came of them out."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import CancelledError, Executor, Future
from functools import cache, partial
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from pipeline.folder.batch.cluster.connecting import connected
from pipeline.folder.batch.cluster.members import LOOK, Members
from pipeline.folder.batch.ends import BrokeDownError, DiedError, NobodyError, OutOfMemoryError, OutOfTimeError
from pipeline.folder.batch.guard import Guards
from pipeline.folder.batch.jobs import Limits
from pipeline.folder.cache import program_hash

if TYPE_CHECKING:
    import distributed

T = TypeVar("T")
P = ParamSpec("P")

#: How often a piece is sent out before it is given up, its workers going away each time.
TRIES = 5
#: What a worker raises because of the piece; anything else is no fault of it.
_ENDS = (OutOfTimeError, OutOfMemoryError, DiedError, BrokeDownError)


class OtherVersionError(Exception):
    """A worker of the cluster runs another version of longneck, or of its libraries."""


class Cluster(Executor):
    """The workers of a Dask cluster. Used as a context, it lets go of the cluster with it, which goes on running.

    Futures raise what the guard of a piece raises, NobodyError if no worker could be had for it."""

    def __init__(self, address: str, limits: Limits, says: Callable[[str], None] = lambda text: None) -> None:
        """``says`` is told of workers that are passed over, and when none is left. Raises NoClusterError if there is
        no scheduler, it has no workers, or none of them can be used."""
        self._client = connected(address)
        self._limits = limits
        self._members = Members(self._client, says)
        self._under_way: set[Future[Any]] = set()
        try:
            self.count = self._in_loop(self._members.begin(address)).result()
        except BaseException:
            self._client.close()
            raise
        self._watching = self._in_loop(self._members.watch())

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Have it done on the cluster; ``fn`` and what it is given must be picklable."""
        work = partial(fn, **kwargs) if kwargs else fn
        future = self._in_loop(self._done(work, args))
        self._under_way.add(future)
        future.add_done_callback(self._under_way.discard)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let go of the cluster."""
        for future in tuple(self._under_way):
            if cancel_futures or not wait:
                future.cancel()
            else:
                future.exception()
        self._watching.cancel()
        self._client.close()

    def _in_loop(self, work: Coroutine[Any, Any, T]) -> Future[T]:
        return asyncio.run_coroutine_threadsafe(work, self._client.loop.asyncio_loop)

    async def _done(self, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
        """Send a piece out until an answer comes, never to a worker that has not been asked for its version."""
        last: Exception = NobodyError("its workers went away each time")
        for _ in range(TRIES):
            workers = await self._members.ready()
            sent = self._client.submit(
                _guarded,
                work,
                arguments,
                self._limits,
                program_hash(),
                workers=sorted(workers),
                allow_other_workers=False,
                pure=False,
            )
            try:
                answer = await self._answer(sent, workers)
            finally:
                sent.release()
            if answer is None:
                continue
            error = answer.exception()
            if error is None:
                return answer.result()  # type: ignore[no-any-return]
            if isinstance(error, _ENDS) or not isinstance(error, Exception):
                raise error
            last = error
            self._members.doubt()
        raise _given_up(last)

    async def _answer(self, sent: distributed.Future[Any], workers: frozenset[str]) -> asyncio.Future[Any] | None:
        """The answer, when it is there; None if all who could give it have gone."""
        answer: asyncio.Future[Any] = asyncio.ensure_future(self._client.gather(sent))
        while not answer.done():
            await asyncio.wait({answer}, timeout=LOOK)
            if not answer.done() and workers.isdisjoint(self._members.good):
                # Not cancelled: the client fetches the answers to several pieces in one task.
                answer.add_done_callback(lambda late: late.cancelled() or late.exception())
                return None
        return answer


def _given_up(last: Exception) -> Exception:
    """What is said of a piece that was sent out in vain: nothing of the program's where only the cluster failed."""
    from distributed import KilledWorker  # noqa: PLC0415  loaded by now

    if isinstance(last, CancelledError | KilledWorker | OSError):
        return NobodyError("its workers went away each time")
    return NobodyError(str(last)) if isinstance(last, OtherVersionError) else last


@cache
def _guards(limits: Limits) -> Guards:
    """The guarded processes of a worker of the cluster; they end with it."""
    return Guards(limits)


def _guarded(work: Callable[..., T], arguments: tuple[object, ...], limits: Limits, program: str) -> T:
    """What a worker of the cluster does."""
    if program_hash() != program:
        raise OtherVersionError("a worker runs another version of longneck, or of its libraries")
    return _guards(limits).ask(work, arguments)
