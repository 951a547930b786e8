"""The same bytes, whatever is around them.

    python -m tests.reproducible [OTHER_PYTHON …]

Builds the demo anthology with every form, over and over: one worker and all, cold and warm, other hash seeds, time
zones, locales and current folders, and with every other interpreter that is named (each with the libraries installed).
Every file must be the same; only ``build.json`` may name other versions of the libraries under another interpreter.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent


def main(arguments: list[str]) -> int:
    """Build, compare, say; the exit code is 1 if anything differs."""
    parser = argparse.ArgumentParser(prog="python -m tests.reproducible")
    parser.add_argument("others", nargs="*", metavar="OTHER_PYTHON")
    others = parser.parse_args(arguments).others
    with tempfile.TemporaryDirectory() as folder:
        results = [_same(case, Path(folder)) for case in _cases(Path(folder) / "collection", others)]
        return int(not all(results))


@dataclass(frozen=True, slots=True)
class Case:
    """A build: its name, the current folder, what is typed, the environment, the interpreter."""

    name: str
    here: Path
    typed: tuple[str, ...] = ("anthology",)
    environment: tuple[tuple[str, str], ...] = ()
    python: str = sys.executable


def _cases(collection: Path, others: list[str]) -> list[Case]:
    """All builds; the first is the one that the others are held against."""
    shutil.copytree(ROOT / "fixtures" / "anthology", collection / "anthology")
    (collection / ".git").mkdir()
    here = collection
    return [
        Case("one worker", here, ("anthology", "--jobs", "1"), (("PYTHONHASHSEED", "0"),)),
        Case("all cores, another hash seed", here, environment=(("PYTHONHASHSEED", "1"),)),
        Case("from another folder", Path("/"), (str(here / "anthology"),), (("PYTHONHASHSEED", "2"),)),
        Case("from inside", here / "anthology" / "songs", ("..",), (("PYTHONHASHSEED", "3"),)),
        Case("another time zone", here, environment=(("TZ", "Pacific/Kiritimati"),)),
        Case("the plain locale", here, environment=(("LC_ALL", "C"), ("PYTHONUTF8", "0"))),
        Case("a Turkish locale", here, environment=(("LC_ALL", "tr_TR.UTF-8"), ("LANG", "tr_TR.UTF-8"))),
        *(Case(other, here, python=str(Path(other).absolute())) for other in others),
    ]


def _same(case: Case, folder: Path) -> bool:
    """Build, cold and warm, and compare with the first."""
    first, out = folder / "first", folder / "out"
    start = time.perf_counter()
    shutil.rmtree(out, ignore_errors=True)
    wrong = []
    for state in ("cold", "warm"):
        _build(case, out)
        if not first.exists():
            shutil.copytree(out, first)
        strict = case.python == sys.executable
        wrong += [f"{state}: {file}" for file in _different(first, out, strict=strict)]
    said = f"{len(wrong)} DIFFER: {', '.join(wrong[:5])}" if wrong else "the same"
    print(f"{case.name:40} {time.perf_counter() - start:6.1f} s  {len(_files(out)):4} files  {said}", flush=True)
    return not wrong


def _build(case: Case, out: Path) -> None:
    command = [case.python, "-m", "pipeline", "build", *case.typed, "--out", str(out), "--pdf", "--midi"]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **dict(case.environment)}
    ran = subprocess.run(command, cwd=case.here, env=environment, check=False, capture_output=True, text=True)
    if ran.returncode or ran.stderr:
        raise SystemExit(f"the build failed: {ran.stderr or ran.stdout}")


def _different(one: Path, other: Path, *, strict: bool) -> list[str]:
    files, others = _files(one), _files(other)
    names = sorted(files.keys() | others.keys())
    return [
        name
        for name in names
        if files.get(name) != others.get(name) and (strict or not name.endswith("/build.json") or name not in others)
    ]


def _files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
