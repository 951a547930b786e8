"""What the benchmarks printed, kept in one file with the command, the day, the state, the machine and the versions.

    python -m tests.benchmarks.printed NAME …     run these, and keep what they print
    python -m tests.benchmarks.printed            say what is kept, and what README says otherwise

In a README a passage whose figures were printed stands between ``<!-- printed: NAME -->`` (or several names) and
``<!-- end -->``. Every number in it must be one that these commands printed; only an aim, in brackets that begin with
``(aim``, and what stands in backquotes need not be.
"""

from __future__ import annotations

import datetime
import os
import platform
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.folder.cache import versions

ROOT = Path(__file__).parent.parent.parent
KEPT = Path(__file__).parent / "printed.txt"
READMES = (ROOT / "README.md", Path(__file__).parent / "README.md")
#: What can be kept, and the module with its arguments; all need nothing but the checkout.
COMMANDS = {
    "bars": "tests.readings",
    "build": "tests.benchmarks.build_speed",
    "collisions": "tests.benchmarks.collisions",
    "costs": "tests.benchmarks.moving --costs",
    "exact": "tests.benchmarks.moving --exact",
    "false alarms": "tests.benchmarks.false_alarms",
    "faults": "tests.faults",
    "figures": "tests.benchmarks.figures",
    "folder": "tests.benchmarks.folder",
    "fuzz": "tests.fuzz --inputs 300000",
    "growth": "tests.fuzz --growth",
    "keys": "tests.benchmarks.moving --keys",
    "misprints": "tests.benchmarks.misprints --split test",
    "moving": "tests.benchmarks.moving",
    "musicxml": "tests.benchmarks.musicxml_speed",
    "mutants": "tests.mutation --sample 18 --seed 1",
    "oldest": "tests.versions --only oldest",
    "reproducible": "tests.reproducible",
    "scale": "tests.benchmarks.scale",
    "shares": "tests.laws.reading_shares",
    "slips": "tests.benchmarks.slips",
    "stand in": "tests.benchmarks.scale --most 0 --stand-in 100000",
    "song alarms": "tests.benchmarks.song_alarms",
    "versions": "tests.versions",
    "watch": "tests.benchmarks.watch_speed",
}
_PASSAGE = re.compile(r"<!-- printed: ([a-z, ]+) -->(.*?)<!-- end -->", re.DOTALL)
_HEAD = "=== "
_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?|\.\d+")


@dataclass(frozen=True, slots=True)
class Wrong:
    """A number that a README has and the commands did not print, or a passage that names no kept command."""

    file: str
    line: int
    said: str


def main(names: list[str]) -> int:
    """Run and keep, or compare; the exit code is 1 if a command failed or a README disagrees."""
    strange = [name for name in names if name not in COMMANDS]
    if strange:
        print(f"no command is called {', '.join(strange)}; there are: {', '.join(COMMANDS)}")
        return 2
    failed = [name for name in names if not _keep(name)]
    sections = read_kept()
    for name, text in sections.items():
        print(f"{name}: {text.splitlines()[1]}")
    wrong = list(disagreements(sections))
    for each in wrong:
        print(f"{each.file}:{each.line}: {each.said}")
    return int(bool(wrong or failed))


def _keep(name: str) -> bool:
    """Run a command and put what it prints in its place. True if it ended well."""
    start, before = time.monotonic(), _circumstances()
    arguments = COMMANDS[name].split()
    done = subprocess.run(
        [sys.executable, "-m", *arguments],
        cwd=ROOT,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    head = [
        f"python -m {COMMANDS[name]}",
        before,
        f"exit code {done.returncode}, {time.monotonic() - start:.0f} s",
    ]
    text = "\n".join([*head, "", done.stdout.strip()]) + "\n"
    sections = read_kept() | {name: text}
    KEPT.write_text("\n".join(f"{_HEAD}{each}\n{sections[each]}" for each in sorted(sections)), encoding="utf-8")
    return done.returncode == 0


def _circumstances() -> str:
    """Day, state of the checkout, machine, versions: to be asked before the command runs."""
    asked = ["git", "describe", "--always", "--dirty=, changed"]
    state = subprocess.run(asked, cwd=ROOT, check=False, capture_output=True, text=True).stdout.strip()
    gigabytes = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 1e9
    busy = f"{os.getloadavg()[0]:.1f} processes busy before"
    machine = f"{platform.system()} {platform.machine()}, {os.cpu_count()} cores, {gigabytes:.0f} GB, {busy}"
    libraries = ", ".join(f"{name} {version}" for name, version in versions().items())
    return (
        f"{datetime.date.today()}, {state or 'no checkout'}; {machine}; Python {platform.python_version()}, {libraries}"
    )


def read_kept() -> dict[str, str]:
    """What was printed, with the command and the circumstances above it, by name."""
    if not KEPT.exists():
        return {}
    parts = re.split(rf"^{_HEAD}([a-z ]+)\n", KEPT.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return {name: f"{text.rstrip()}\n" for name, text in zip(parts[1::2], parts[2::2], strict=True)}


def disagreements(sections: dict[str, str]) -> Iterator[Wrong]:
    """What the READMEs say that was not printed."""
    for file in READMES:
        yield from differing(file.relative_to(ROOT).as_posix(), file.read_text(encoding="utf-8"), sections)


def differing(file: str, text: str, sections: dict[str, str]) -> Iterator[Wrong]:
    """The same of one text."""
    for passage in _PASSAGE.finditer(text):
        line = text.count("\n", 0, passage.start()) + 1
        names = [name.strip() for name in passage[1].split(",")]
        missing = [name for name in names if name not in sections]
        if missing:
            yield Wrong(file, line, f"{', '.join(missing)}: nothing printed is kept")
            continue
        there = {number for name in names for number in numbers(sections[name])}
        for number in numbers(re.sub(r"`[^`]*`|\(aim[^)]*\)", "", passage[2])):
            if number not in there:
                yield Wrong(file, line, f"{number:g} was not printed by {', '.join(names)}")


def numbers(text: str) -> list[float]:
    """Every number in a text, whatever its sign; 1,000 is one number, and .5 is 0.5."""
    return [float(found.replace(",", "")) for found in _NUMBER.findall(text)]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
