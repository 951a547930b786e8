"""A cluster: a real scheduler and real workers in processes of their own, which share no file with the run."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from pipeline.folder.batch import Crew, Done, Limits, build_all, check_all
from pipeline.folder.files import discover
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from tests.folder.test_batch import PIECE, ROOT, Spoilt, contents, crash, hang

distributed = pytest.importorskip("distributed")
from dask import config as dask_settings  # noqa: E402  the extra may be missing

from pipeline.folder.batch.cluster import Cluster, NoClusterError  # noqa: E402  the extra may be missing

LIMITS = Limits(5.0, 1000)
QUICK = Options(copy=False, forms=(Form.MUSICXML,))


def dask(folder: Path, *arguments: str, program: Path = ROOT) -> subprocess.Popen[bytes]:
    """One process of the cluster, in an empty folder of its own: nothing is found there but what is sent."""
    folder.mkdir()
    env = {**os.environ, "PYTHONPATH": str(program)}
    command = [sys.executable, "-m", *arguments]
    return subprocess.Popen(command, cwd=folder, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def until(seen: Callable[[], bool]) -> None:
    for _ in range(400):
        if seen():
            return
        time.sleep(0.05)
    raise AssertionError("waited too long")


class Machines:
    """A scheduler, and workers that can be added and killed. With a ``key`` (authority, certificate, key) they talk
    over TLS alone."""

    def __init__(self, folder: Path, key: tuple[Path, Path, Path] | None = None) -> None:
        self.folder = folder
        self.tls = () if key is None else ("--tls-ca-file", key[0], "--tls-cert", key[1], "--tls-key", key[2])
        scheme = "tls" if key else "tcp"
        where = folder / "scheduler.json"
        options = ("--host", f"{scheme}://127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", where)
        self.scheduler = dask(folder / "scheduler", "distributed.cli.dask_scheduler", *map(str, (*options, *self.tls)))
        sign = f'"{scheme}://'
        until(lambda: where.exists() and sign in where.read_text(encoding="utf-8"))
        said = where.read_text(encoding="utf-8").split('"')
        self.address = next(part for part in said if part.startswith(sign[1:]))
        self.workers: list[subprocess.Popen[bytes]] = []

    def add(self, program: Path = ROOT) -> subprocess.Popen[bytes]:
        place = self.folder / f"worker{len(self.workers)}"
        # No nanny: a worker that is killed stays away.
        options = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--local-directory", place / "d", *self.tls)
        worker = dask(place, "distributed.cli.dask_worker", self.address, *map(str, options), program=program)
        self.workers.append(worker)
        return worker

    def stop(self) -> None:
        for process in (*self.workers, self.scheduler):
            process.kill()
            process.wait()


@pytest.fixture
def collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "collection" / ".git").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "collection")
    return tmp_path


@pytest.fixture
def machines(collection: Path) -> Iterator[Machines]:
    started = Machines(collection)
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
        until(lambda: len(cluster._client.nthreads()) == 2)
        there = []
        for done in build_all(discover([Path()]), Path("there"), QUICK, Crew(cluster, 2, 60.0)):
            there.append(done)
            if len(there) == 8:
                os.kill(first.pid, signal.SIGKILL)
        until(lambda: len(cluster._client.nthreads()) == 1)
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


# --- workers that go and come ------------------------------------------------------------------------------


def built(cluster: Cluster, lose: Callable[[], None], at: int = 4) -> list[Done]:
    """What became of every piece, when ``lose`` happens after so many of them."""
    done = []
    for one in build_all(discover([Path()]), Path("out"), QUICK, Crew(cluster, 1, 60.0)):
        done.append(one)
        if len(done) == at:
            lose()
    return done


@pytest.mark.parametrize("lost", ["worker", "scheduler"])
def test_when_all_go_the_rest_is_not_worked_on_and_a_rerun_does_it(
    machines: Machines, monkeypatch: pytest.MonkeyPatch, lost: str
) -> None:
    write_pieces(12)
    gone = {"worker": machines.add(), "scheduler": machines.scheduler}[lost]
    said: list[str] = []
    with Cluster(machines.address, LIMITS, said.append) as cluster:
        monkeypatch.setattr("pipeline.folder.batch.cluster.connecting.PATIENCE", 3.0)
        began = time.monotonic()
        done = built(cluster, gone.kill)
        assert time.monotonic() - began < 15  # not the longest time for a piece
    assert len(done) == 12
    rest = done[-6:]
    assert [[finding.code.slug for finding in one.diagnostics] for one in rest] == [["not-worked-on"]] * 6
    assert not any(one.fault for one in done)  # a finding, not a fault of the program
    why = {"worker": "no worker of the cluster is left", "scheduler": "the scheduler gives no answer"}[lost]
    assert rest[0].diagnostics[0].message == f"No machine worked on this piece: {why}."
    assert len(said) == 1 and said[0].endswith("; waiting 3 seconds")
    again = list(build_all(discover([Path()]), Path("out"), QUICK))
    assert [one.kept for one in again[:4]] == [True] * 4
    list(build_all(discover([Path()]), Path("clean"), QUICK))
    assert contents(Path("out")) == contents(Path("clean"))


def test_a_worker_that_takes_the_place_of_the_only_one(machines: Machines) -> None:
    write_pieces(12)
    first = machines.add()

    def replaced() -> None:
        first.kill()
        machines.add()

    with Cluster(machines.address, LIMITS) as cluster:
        done = built(cluster, replaced)
    assert [one.name for one in done if one.written] == [f"{number:02d}.intav" for number in range(12)]


def test_a_worker_of_another_version_gets_no_piece_whenever_it_comes(machines: Machines, tmp_path: Path) -> None:
    other = tmp_path / "other"
    shutil.copytree(ROOT / "pipeline", other / "pipeline", ignore=shutil.ignore_patterns("__pycache__"))
    (other / "pipeline" / "more.py").write_text("", encoding="utf-8")
    write_pieces(24)
    machines.add()
    said: list[str] = []
    with Cluster(machines.address, LIMITS, said.append) as cluster:

        def joined() -> None:
            machines.add(other)
            until(lambda: len(said) == 1)

        done = built(cluster, joined)
    assert [one.name for one in done if one.written] == [f"{number:02d}.intav" for number in range(24)]
    assert said[0].endswith(" is passed over: another version of longneck, or of its libraries, runs there")
    said.clear()
    with Cluster(machines.address, LIMITS, said.append) as cluster:
        assert (cluster.count, len(said)) == (1, 1)  # it is there from the beginning


def test_where_all_run_another_version_the_cluster_is_refused(
    machines: Machines, monkeypatch: pytest.MonkeyPatch
) -> None:
    machines.add()
    monkeypatch.setattr("pipeline.folder.batch.cluster.members.program_hash", another_program)
    with pytest.raises(NoClusterError, match=r"no worker of it can be used .*another version of longneck"):
        Cluster(machines.address, LIMITS)


def another_program() -> str:
    """What the hash would be in this process, and in none that imports it anew."""
    return str(os.getpid())


# --- certificates ------------------------------------------------------------------------------------------


def authority(folder: Path) -> tuple[Path, Path, Path]:
    """An authority of our own, a certificate that it has signed, and the key to it, made by OpenSSL."""
    folder.mkdir()
    subject = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2")
    openssl(folder, "req", "-x509", *subject, "-subj", "/CN=authority", "-keyout", "ca.key", "-out", "ca.pem")
    openssl(folder, "req", *subject[:-2], "-subj", "/CN=member", "-keyout", "key.pem", "-out", "request")
    signing = ("-CA", "ca.pem", "-CAkey", "ca.key", "-CAcreateserial", "-days", "2")
    openssl(folder, "x509", "-req", "-in", "request", *signing, "-out", "cert.pem")
    return folder / "ca.pem", folder / "cert.pem", folder / "key.pem"


def openssl(folder: Path, *arguments: str) -> None:
    subprocess.run(["openssl", *arguments], cwd=folder, check=True, capture_output=True)


def settings(key: tuple[Path, Path, Path]) -> dict[str, str]:
    """Dask's own settings as variables of the environment, as its documentation on TLS names them."""
    names = ("CA_FILE", "CLIENT__CERT", "CLIENT__KEY")
    return {f"DASK_DISTRIBUTED__COMM__TLS__{name}": str(file) for name, file in zip(names, key, strict=True)}


def told(key: tuple[Path, Path, Path]) -> Any:
    """The same settings in this process."""
    names = ("ca-file", "client.cert", "client.key")
    return dask_settings.set({f"distributed.comm.tls.{name}": str(file) for name, file in zip(names, key, strict=True)})


@pytest.mark.skipif(shutil.which("openssl") is None, reason="certificates are made by openssl")
def test_a_cluster_with_certificates(collection: Path) -> None:
    write_pieces(6)
    ours, strange = authority(collection / "ours"), authority(collection / "strange")
    machines = Machines(collection, ours)
    try:
        machines.add(), machines.add()
        command = [sys.executable, "-m", "pipeline", "build", ".", "--only", "musicxml", "--no-copy"]
        here = subprocess.run([*command, "--out", "here"], env=environment(), capture_output=True, check=False)
        cluster = ["--cluster", machines.address]
        env = environment(settings(ours))
        there = subprocess.run([*command, "--out", "there", *cluster], env=env, capture_output=True, check=False)
        assert (there.returncode, there.stdout.replace(b"there", b"here"), there.stderr) == (1, here.stdout, b"")
        assert contents(Path("there")) == contents(Path("here"))
        with told(ours), Cluster(machines.address, LIMITS) as both:
            assert both.count > 0
        with pytest.raises(NoClusterError, match=r"needs certificates: name them in the settings distributed.comm.tls"):
            Cluster(machines.address, LIMITS)
        with told(strange), pytest.raises(NoClusterError, match=r"its certificate is not one that .* trust"):
            Cluster(machines.address, LIMITS)
        with told((ours[0], ours[1], Path("nowhere"))), pytest.raises(NoClusterError, match="cannot be used that are"):
            Cluster(machines.address, LIMITS)
        with pytest.raises(NoClusterError, match="no scheduler answers"):
            Cluster(machines.address.replace("tls:", "tcp:"), LIMITS)
    finally:
        machines.stop()


def environment(more: dict[str, str] | None = None) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), **(more or {})}


# --- clusters that cannot be used --------------------------------------------------------------------------


def test_clusters_that_cannot_be_used(machines: Machines, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pipeline.folder.batch.cluster.connecting.PATIENCE", 1.0)
    monkeypatch.setattr("pipeline.folder.batch.cluster.connecting.ANSWERS", 1.0)
    with pytest.raises(NoClusterError, match="no scheduler answers at tcp://127"):
        Cluster("tcp://127.0.0.1:1", LIMITS)
    with pytest.raises(NoClusterError, match="no scheduler answers at nonsense"):
        Cluster("nonsense://x:1", LIMITS)
    for address in ("", "x", "tcp://127.0.0.1"):
        with pytest.raises(NoClusterError, match=f"“{address}” is not an address such as tls://HOST:PORT"):
            Cluster(address, LIMITS)
    silent = socket.create_server(("127.0.0.1", 0))  # takes the call, and never says a word
    with silent, pytest.raises(NoClusterError, match="no scheduler answers at tcp://127"):
        Cluster(f"tcp://127.0.0.1:{silent.getsockname()[1]}", LIMITS)
    with pytest.raises(NoClusterError, match="has no workers"):
        Cluster(machines.address, LIMITS)
