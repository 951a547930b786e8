"""The same program under other interpreters, and with the oldest and the newest libraries that it allows.

    pip install 'longneck[versions]'
    python -m tests.versions [OTHER_PYTHON …] [--only NAME]

For this interpreter and each named one, or, if none is named, the newest of each version from 3.11 on that stands on
the search path: the oldest libraries that ``pyproject.toml`` allows and that interpreter can
be given ready built, the newest, and the newest but with music21 9. Each set goes into an environment of its own. There
the anthology is built, in every form, and a part of the tests is run. A row says which versions they were, how many
tests failed, and which files differ from those that the newest libraries make under the first interpreter. Needs a
package index; takes three to five minutes a row.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
#: What is built on a library: readers, tables of it, its errors; each room of the program.
TESTS = (
    "tests/model",
    "tests/source",
    "tests/findings",
    "tests/edition",
    "tests/writers",
    "tests/goldens",
    "tests/cli/test_cli.py",
)
SETS = {
    "newest": ("--resolution", "highest"),
    "oldest": ("--resolution", "lowest-direct"),
    "music21 9": ("--resolution", "highest", "--constraint", "music21<10"),
}


@dataclass(frozen=True, slots=True)
class Row:
    """One environment: what is in it, and what came of it. ``differ`` are files not as the first row has them."""

    python: str
    libraries: str
    versions: dict[str, str]
    tests: str
    differ: list[str] | None


def main(arguments: list[str]) -> int:
    """Print the table; the exit code is 1 if a build or a test failed, or a file differs."""
    parser = argparse.ArgumentParser(prog="python -m tests.versions")
    parser.add_argument("others", nargs="*", metavar="OTHER_PYTHON")
    parser.add_argument("--only", choices=SETS, help="this set of libraries alone")
    asked = parser.parse_args(arguments)
    first: dict[str, bytes] = {}
    rows = []
    for python in (sys.executable, *(asked.others or _others())):
        for name in SETS if asked.only is None else (asked.only,):
            with tempfile.TemporaryDirectory() as folder:
                row = _row(python, name, Path(folder), first)
            rows.append(row)
            _say(row)
    return int(any(row.differ is None or row.differ or "failed" in row.tests or "error" in row.tests for row in rows))


def _others() -> list[str]:
    """One interpreter of each other version that the program allows, of those that uv finds on this machine."""
    listed = _ran([sys.executable, "-m", "uv", "python", "list", "--only-installed", "--output-format", "json"])
    found: dict[tuple[int, int], str] = {}
    for each in json.loads(listed.stdout or "[]"):
        version = (each["version_parts"]["major"], each["version_parts"]["minor"])
        if each["implementation"] == "cpython" and version >= (3, 11) and version != sys.version_info[:2]:
            found.setdefault(version, each["path"])
    return [found[version] for version in sorted(found)]


def _row(python: str, name: str, folder: Path, first: dict[str, bytes]) -> Row:
    version = _ran([python, "-c", "import platform; print(platform.python_version())"]).stdout.strip()
    inside = _environment(python, name, folder)
    if inside is None:
        return Row(version, name, {}, "error: cannot be installed", None)
    versions = _versions(inside)
    out = folder / "out"
    built = _ran([inside, "-m", "pipeline", "build", "fixtures/anthology", "--out", str(out), "--pdf", "--midi"])
    if built.returncode:
        return Row(version, name, versions, f"error: {(built.stderr or built.stdout).strip()[-300:]}", None)
    files = _files(out)
    first.update({} if first else files)
    tested = _ran([inside, "-m", "pytest", "-p", "no:cacheprovider", "-W", "ignore", *TESTS]).stdout.strip()
    failed = re.findall(r"^(?:FAILED|ERROR) (\S+)", tested, re.MULTILINE)
    counts = tested.splitlines()[-1] if tested else "error: no test ran"
    return Row(version, name, versions, "\n    ".join([counts, *failed]), _different(first, files))


def _environment(python: str, name: str, folder: Path) -> str | None:
    """The interpreter of a new environment with these libraries; None, with the reason printed, if there are none."""
    place = folder / "env"
    constraints = folder / "constraints.txt"
    options = list(SETS[name])
    if "--constraint" in options:
        constraints.write_text(options[-1] + "\n", encoding="utf-8")
        options[-1] = str(constraints)
    made = _ran([sys.executable, "-m", "uv", "venv", "-q", "-p", python, str(place)])
    inside = str(place / "bin" / "python")
    install = [
        "pip",
        "install",
        "-q",
        "-p",
        inside,
        "--only-binary",
        ":all:",
        *options,
        "-r",
        "pyproject.toml",
        "--extra",
        "dev",
    ]
    done = made if made.returncode else _ran([sys.executable, "-m", "uv", *install])
    if done.returncode:
        print(done.stderr.strip())
        return None
    return inside


def _versions(inside: str) -> dict[str, str]:
    wanted = [re.split(r"[<>=]", each)[0] for each in _project()["dependencies"]]
    code = "import importlib.metadata as m, json, sys; print(json.dumps({n: m.version(n) for n in sys.argv[1:]}))"
    return dict(json.loads(_ran([inside, "-c", code, *wanted]).stdout))


def _project() -> dict[str, list[str]]:
    read: dict[str, list[str]] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return read


def _files(folder: Path) -> dict[str, bytes]:
    """All but what names the versions itself."""
    paths = (path for path in folder.rglob("*") if path.is_file() and path.name != "build.json")
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}


def _different(first: dict[str, bytes], files: dict[str, bytes]) -> list[str]:
    return sorted(name for name in first.keys() | files.keys() if first.get(name) != files.get(name))


def _say(row: Row) -> None:
    said = ", ".join(f"{name} {version}" for name, version in row.versions.items())
    print(f"Python {row.python}, {row.libraries}: {said}\n    {row.tests}")
    if row.differ is not None:
        few = f": {', '.join(row.differ[:6])}" if row.differ else ""
        print(f"    {len(row.differ)} files differ{few}", flush=True)


def _ran(command: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=ROOT, check=False, capture_output=True, text=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
