"""Which workers of a cluster can be given pieces: those that are there, and run the same program.

Everything here runs in the client's event loop. The scheduler is asked again and again who is there; each new worker
is asked which program it runs before any piece goes to it.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING

from pipeline.folder.batch.cluster import connecting
from pipeline.folder.batch.cluster.connecting import NoClusterError
from pipeline.folder.batch.ends import NobodyError
from pipeline.folder.cache import program_hash

if TYPE_CHECKING:
    from distributed import Client

#: Seconds between two looks at who is there.
LOOK = 0.5

_OTHER = "another version of longneck, or of its libraries, runs there"


class Members:
    """The workers of a cluster. ``says`` tells the user of those that are passed over, and of none being left."""

    def __init__(self, client: Client, says: Callable[[str], None]) -> None:
        self._client = client
        self._says = says
        #: Threads of each worker that is there, and for each that was asked: why it gets no pieces, or nothing.
        self._there: dict[str, int] = {}
        self._asked: dict[str, str] = {}
        self._asking: dict[str, asyncio.Task[None]] = {}
        self._gone = ""
        self._begun = False

    async def begin(self, address: str) -> int:
        """Wait for workers; how many pieces they can work on at a time. Raises NoClusterError."""
        clock = asyncio.get_running_loop()
        latest = clock.time() + connecting.PATIENCE
        while not self._there:
            if clock.time() > latest:
                raise NoClusterError(f"the scheduler at {address} has no workers")
            await self._look()
            await asyncio.sleep(0 if self._there else LOOK / 10)
        await asyncio.gather(*self._asking.values())
        if not self.good:
            reasons = sorted(f"{worker}: {reason}" for worker, reason in self._asked.items())
            raise NoClusterError(f"no worker of it can be used ({'; '.join(reasons)})")
        self._begun = True
        for worker, reason in sorted(self._asked.items()):
            self._tell(worker, reason)
        return sum(self._there[worker] for worker in self.good)

    @property
    def good(self) -> frozenset[str]:
        """The workers that pieces can go to."""
        return frozenset(worker for worker in self._there if self._asked.get(worker) == "")

    async def ready(self) -> frozenset[str]:
        """The same, and at least one of them: it is waited for. Raises NobodyError when none will come."""
        while not (self.good and self._client.status == "running"):
            if self._gone:
                raise NobodyError(self._gone)
            await asyncio.sleep(LOOK / 10)
        return self.good

    def doubt(self) -> None:
        """Something went wrong that was no piece's fault: ask every worker anew before it gets another piece."""
        self._asked.clear()

    async def watch(self) -> None:
        """Look who is there, until nobody has been for as long as is waited."""
        clock = asyncio.get_running_loop()
        seen, told = clock.time(), False
        while not self._gone:
            await asyncio.sleep(LOOK)
            answered = await self._look()
            without = clock.time() - seen
            if answered and self.good:
                seen, told = clock.time(), False
            elif without > connecting.PATIENCE:
                self._gone = "no worker of the cluster is left" if answered else "the scheduler gives no answer"
                self._there = {}
            elif without > 2 * LOOK and not told:
                said = "the cluster has no worker left" if answered else "the scheduler of the cluster gives no answer"
                self._says(f"{said}; waiting {connecting.PATIENCE:g} seconds")
                told = True

    async def _look(self) -> bool:
        """Ask who is there, and the new ones which program they run. False if there was no answer."""
        if self._client.status != "running":
            return False
        try:
            there = await asyncio.wait_for(self._client.nthreads(), connecting.ANSWERS)
        except Exception:  # what stands behind an address can fail in any way
            return False
        self._there = dict(there)
        self._asked = {worker: reason for worker, reason in self._asked.items() if worker in there}
        self._asking = {worker: task for worker, task in self._asking.items() if not task.done()}
        for worker in self._there:
            if worker not in self._asked and worker not in self._asking:
                self._asking[worker] = asyncio.ensure_future(self._ask(worker))
        return True

    async def _ask(self, worker: str) -> None:
        asked = self._client.run(program_hash, workers=[worker], on_error="return")
        try:
            found = (await asyncio.wait_for(asked, connecting.PATIENCE)).get(worker)
        except Exception:  # it went away meanwhile, or is stuck; if it is there still, it is asked again
            return
        if isinstance(found, OSError):
            return
        reason = f"it cannot load longneck ({type(found).__name__}: {found})" if isinstance(found, Exception) else ""
        self._asked[worker] = reason or ("" if found == program_hash() else _OTHER)
        self._tell(worker, self._asked[worker])

    def _tell(self, worker: str, reason: str) -> None:
        if reason and self._begun:
            self._says(f"the worker {worker} is passed over: {reason}")
