"""An existing Dask cluster as an executor. Nothing is shared with it but messages: parcels go there as bytes, artefacts
come back as bytes. Its workers must have the same longneck installed.

On the cluster too each piece is worked on in a guarded process, so that a piece can neither kill nor block a worker.
A piece whose worker goes away is given to another by the scheduler.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Executor, Future
from functools import cache, partial
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from pipeline.folder.batch.guard import Guards
from pipeline.folder.batch.jobs import Limits
from pipeline.folder.cache import program_hash

if TYPE_CHECKING:
    from distributed import Client

T = TypeVar("T")
P = ParamSpec("P")

#: Seconds in which the scheduler must answer.
ANSWERS = 5.0
#: Seconds in which it must have a worker.
PATIENCE = 20.0


class NoClusterError(Exception):
    """The cluster cannot be used; the message says why."""


class OtherVersionError(Exception):
    """A worker of the cluster runs another version of longneck, or of its libraries."""


class Cluster(Executor):
    """The workers of a Dask cluster. Used as a context, it lets go of the cluster with it, which goes on running."""

    def __init__(self, address: str, limits: Limits) -> None:
        """Raises NoClusterError if there is none, it has no workers, or they have another longneck."""
        self._client = _client(address)
        self._limits = limits
        try:
            self.count = _threads(self._client, address)
        except BaseException:
            self._client.close()
            raise
        self._executor = self._client.get_executor(pure=False)

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Have it done on the cluster; ``fn`` and what it is given must be picklable."""
        work = partial(fn, **kwargs) if kwargs else fn
        return self._executor.submit(_guarded, work, args, self._limits, program_hash())  # type: ignore[no-any-return]

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let go of the cluster."""
        self._executor.shutdown(wait=wait and not cancel_futures)
        self._client.close()


def _client(address: str) -> Client:
    # Imported late: it is an extra, heavy, and seldom asked for.
    try:
        from distributed import Client  # noqa: PLC0415
    except ImportError as error:
        raise NoClusterError("it needs the extra: pip install 'longneck[cluster]'") from error
    _ask(address)
    try:
        return Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise NoClusterError(f"no scheduler answers at {address}") from error


def _ask(address: str) -> None:
    """See that a scheduler answers, before a client is made that would go on trying. Raises NoClusterError."""
    from distributed.comm import connect  # noqa: PLC0415
    from distributed.comm.addressing import parse_host_port  # noqa: PLC0415

    async def identity() -> Any:
        comm = await connect(address, timeout=ANSWERS)
        try:
            await comm.write({"op": "identity", "reply": True})
            return await comm.read()
        finally:
            comm.abort()

    try:
        parse_host_port(address.partition("://")[2] or address)
    except ValueError as error:
        raise NoClusterError(f"“{address}” is not an address such as tcp://HOST:PORT") from error
    try:
        answer = asyncio.run(asyncio.wait_for(identity(), ANSWERS))
    except Exception as error:  # what stands behind an address can fail in any way
        raise NoClusterError(f"no scheduler answers at {address}") from error
    if not isinstance(answer, dict) or answer.get("type") != "Scheduler":
        raise NoClusterError(f"what answers at {address} is not a scheduler")


def _threads(client: Client, address: str) -> int:
    """How many pieces the cluster can work on at a time."""
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
    except TimeoutError as error:
        raise NoClusterError(f"the scheduler at {address} has no workers") from error
    try:
        versions: dict[str, Any] = client.run(program_hash)
    except Exception as error:
        raise NoClusterError(f"its workers cannot load longneck ({type(error).__name__}: {error})") from error
    others = sorted(worker for worker, found in versions.items() if found != program_hash())
    if others:
        raise NoClusterError(f"another version of longneck, or of its libraries, runs on {', '.join(others)}")
    return sum(client.nthreads().values())


@cache
def _guards(limits: Limits) -> Guards:
    """The guarded processes of a worker of the cluster; they end with it."""
    return Guards(limits)


def _guarded(work: Callable[..., T], arguments: tuple[object, ...], limits: Limits, program: str) -> T:
    """What a worker of the cluster does."""
    if program_hash() != program:
        raise OtherVersionError("a worker runs another version of longneck, or of its libraries")
    return _guards(limits).ask(work, arguments)
