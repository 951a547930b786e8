"""Who does the work, as asked at the command line: processes on this machine, or a cluster."""

from __future__ import annotations

import atexit
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import Annotated

import typer

from pipeline.cli.refusing import refuse
from pipeline.cli.saying import say
from pipeline.folder.batch import Crew, Limits
from pipeline.folder.batch import cluster as dask
from pipeline.folder.batch.cores import cores
from pipeline.folder.batch.guard import Workers
from pipeline.folder.batch.memory import allowed

Jobs = Annotated[
    int,
    typer.Option(
        "--jobs",
        min=0,
        metavar="N",
        show_default=False,
        help="Pieces worked on at a time (default: one a core).",
    ),
]
TimeLimit = Annotated[
    float, typer.Option("--time-limit", min=0, metavar="SECONDS", help="Longest time for one piece; 0 for no limit.")
]
MemoryLimit = Annotated[
    int, typer.Option("--memory-limit", min=0, metavar="MB", help="Most memory for one piece; 0 for no limit.")
]
Cluster = Annotated[
    str | None,
    typer.Option("--cluster", metavar="ADDRESS", show_default=False, help="Work on a Dask cluster: tls://HOST:PORT."),
]

#: The limits that hold where none are asked for.
SECONDS, MEGABYTES = 120.0, 2000
#: Less than this is not enough to load the program.
LEAST_MEMORY = 500


@contextmanager
def crew(jobs: int, seconds: float, megabytes: int, cluster: str | None = None) -> Iterator[Crew]:
    """Those who do the work, until the block ends. Refuses a cluster that cannot be used."""
    if 0 < megabytes < LEAST_MEMORY:
        refuse(f"--memory-limit: the program itself needs {LEAST_MEMORY} MB")
    if cluster is None and (least := allowed()) is not None and least < LEAST_MEMORY:
        refuse(f"this shell allows a program {least} MB of memory (ulimit -v); longneck needs {LEAST_MEMORY} MB")
    limits = Limits(seconds, megabytes)
    if cluster is not None:
        with _cluster(cluster, limits) as there:
            yield there
        return
    workers = _workers(jobs or cores(), limits)
    try:
        yield Crew(workers, workers.count)
    except Exception as error:
        if not isinstance(error, typer.Exit):
            _let_go(workers)
        raise
    except BaseException:  # stopped from the keyboard: the work under way is not waited for
        _let_go(workers)
        raise


def _let_go(workers: Workers) -> None:
    workers.shutdown(wait=False, cancel_futures=True)
    _workers.cache_clear()


@cache
def _workers(count: int, limits: Limits) -> Workers:
    """The processes, kept for later commands of this process: they start as they are needed, and end with it."""
    workers = Workers(count, limits)
    atexit.register(workers.shutdown, cancel_futures=True)
    return workers


@contextmanager
def _cluster(address: str, limits: Limits) -> Iterator[Crew]:
    try:
        cluster = dask.Cluster(address, limits, _says)
    except dask.NoClusterError as error:
        refuse(f"--cluster: {error}")
    with cluster:
        # A piece may wait for another worker, should its own go away; the cluster itself says when none is left.
        yield Crew(cluster, cluster.count, 3 * limits.seconds + 60 if limits.seconds else None)


def _says(text: str) -> None:
    say(f"longneck: {text}", err=True)
