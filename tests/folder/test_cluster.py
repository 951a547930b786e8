"""A cluster: a real scheduler and real workers in processes of their own, which share no file with the run."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pipeline.folder.batch import Crew, Limits, build_all, check_all
from pipeline.folder.files import discover
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from tests.folder.test_batch import PIECE, ROOT, Spoilt, contents, crash, hang

distributed = pytest.importorskip("distributed")
from pipeline.folder.batch.cluster import Cluster, NoClusterError  # noqa: E402  the extra may be missing

LIMITS = Limits(5.0, 1000)
QUICK = Options(copy=False, forms=(Form.MUSICXML,))


def dask(folder: Path, *arguments: str) -> subprocess.Popen[bytes]:
    """One process of the cluster, in an empty folder of its own: nothing is found there but what is sent."""
    folder.mkdir()
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", *arguments]
    return subprocess.Popen(command, cwd=folder, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def until(seen: Callable[[], bool]) -> None:
    for _ in range(400):
        if seen():
            return
        time.sleep(0.05)
    raise AssertionError("waited too long")


class Machines:
    """A scheduler, and workers that can be added and killed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        where = folder / "scheduler.json"
        options = ("--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(where))
        self.scheduler = dask(folder / "scheduler", "distributed.cli.dask_scheduler", *options)
        until(lambda: where.exists() and "tcp://" in where.read_text(encoding="utf-8"))
        self.address = next(part for part in where.read_text(encoding="utf-8").split('"') if part.startswith("tcp://"))
        self.workers: list[subprocess.Popen[bytes]] = []

    def add(self) -> subprocess.Popen[bytes]:
        place = self.folder / f"worker{len(self.workers)}"
        # No nanny: a worker that is killed stays away.
        options = (
            self.address,
            "--nthreads",
            "1",
            "--no-nanny",
            "--no-dashboard",
            "--local-directory",
            str(place / "d"),
        )
        worker = dask(place, "distributed.cli.dask_worker", *options)
        self.workers.append(worker)
        return worker

    def stop(self) -> None:
        for process in (*self.workers, self.scheduler):
            process.kill()
            process.wait()


@pytest.fixture
def machines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Machines]:
    (tmp_path / "collection" / ".git").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "collection")
    started = Machines(tmp_path)
    yield started
    started.stop()


def write_pieces(count: int) -> None:
    for number in range(count):
        Path(f"{number:02d}.intav").write_text(PIECE.format(number, "8" if number % 5 else "8:1"), encoding="utf-8")


def test_a_cluster_makes_what_one_machine_makes_though_a_worker_is_killed(machines: Machines) -> None:
    write_pieces(30)
    here = list(build_all(discover([Path()]), Path("here"), QUICK))
    first, _ = machines.add(), machines.add()
    with Cluster(machines.address, LIMITS) as cluster:
        until(lambda: len(cluster._client.scheduler_info()["workers"]) == 2)
        there = []
        for done in build_all(discover([Path()]), Path("there"), QUICK, Crew(cluster, 2, 60.0)):
            there.append(done)
            if len(there) == 8:
                os.kill(first.pid, signal.SIGKILL)
        assert len(cluster._client.scheduler_info()["workers"]) == 1
    assert [(done.name, done.diagnostics, done.title) for done in there] == [
        (done.name, done.diagnostics, done.title) for done in here
    ]
    assert contents(Path("there")) == contents(Path("here"))


def test_a_piece_can_neither_kill_nor_block_a_worker(machines: Machines) -> None:
    write_pieces(4)
    worker = machines.add()
    with Cluster(machines.address, Limits(1.5, 1000)) as cluster:
        spoilt = Spoilt(Spoilt(cluster, "01.intav", crash), "02.intav", hang)
        done = list(check_all(discover([Path()]), Crew(spoilt, 1, 60.0)))
    assert [[finding.code.slug for finding in one.diagnostics] for one in done] == [
        ["fretted-diapason"],
        ["program-died"],
        ["out-of-time"],
        [],
    ]
    assert worker.poll() is None


def test_when_all_workers_go_the_rest_is_not_worked_on_and_a_rerun_does_it(machines: Machines) -> None:
    write_pieces(12)
    worker = machines.add()
    done = []
    with Cluster(machines.address, LIMITS) as cluster:
        for one in build_all(discover([Path()]), Path("out"), QUICK, Crew(cluster, 1, 5.0)):
            done.append(one)
            if len(done) == 4:
                os.kill(worker.pid, signal.SIGKILL)
    assert len(done) == 12
    assert [finding.code.slug for finding in done[-1].diagnostics] == ["not-worked-on"]
    again = list(build_all(discover([Path()]), Path("out"), QUICK))
    assert [one.kept for one in again[:4]] == [True] * 4
    list(build_all(discover([Path()]), Path("clean"), QUICK))
    assert contents(Path("out")) == contents(Path("clean"))


def test_clusters_that_cannot_be_used(machines: Machines, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pipeline.folder.batch.cluster.PATIENCE", 1.0)
    monkeypatch.setattr("pipeline.folder.batch.cluster.ANSWERS", 1.0)
    with pytest.raises(NoClusterError, match="no scheduler answers at tcp://127"):
        Cluster("tcp://127.0.0.1:1", LIMITS)
    with pytest.raises(NoClusterError, match="no scheduler answers at nonsense"):
        Cluster("nonsense://x:1", LIMITS)
    for address in ("", "x", "tcp://127.0.0.1"):
        with pytest.raises(NoClusterError, match=f"“{address}” is not an address such as tcp://HOST:PORT"):
            Cluster(address, LIMITS)
    silent = socket.create_server(("127.0.0.1", 0))  # takes the call, and never says a word
    with silent, pytest.raises(NoClusterError, match="no scheduler answers at tcp://127"):
        Cluster(f"tcp://127.0.0.1:{silent.getsockname()[1]}", LIMITS)
    with pytest.raises(NoClusterError, match="has no workers"):
        Cluster(machines.address, LIMITS)
    machines.add()
    monkeypatch.setattr("pipeline.folder.batch.cluster.PATIENCE", 20.0)
    monkeypatch.setattr("pipeline.folder.batch.cluster.program_hash", another_program)
    with pytest.raises(NoClusterError, match="another version of longneck"):
        Cluster(machines.address, LIMITS)


def another_program() -> str:
    """What the hash would be in this process, and in none that imports it anew."""
    return str(os.getpid())
