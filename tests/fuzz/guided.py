"""Input guided by coverage: atheris changes what it has so that parts of the program are reached that were not yet.

Run by ``python -m tests.fuzz``, in a process of its own, because atheris ends it: ``python -m tests.fuzz.guided NAME
COUNT FOLDER [SEED]``. Exit code 3: atheris is not installed.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

NOT_INSTALLED = 3
_DONE = re.compile(r"#(\d+)\s+DONE\s+cov: (\d+) ft: (\d+)")
_STATUS = re.compile(r"#(\d+)\s+\w+\s+cov: (\d+) ft: (\d+)")
_SLOW = re.compile(r"stat::slowest_unit_time_sec:\s+(\d+)")
#: Bytes of an input.
_LONGEST = 2_000


@dataclass(frozen=True, slots=True)
class Guided:
    """What a guided run gave. ``coverage`` counts places of the program that were reached; ``said`` is the traceback
    and ``crash`` the input, if a promise was broken; ``missing`` says that atheris is not installed."""

    inputs: int = 0
    coverage: int = 0
    slowest: int = 0
    crash: bytes = b""
    said: str = ""
    missing: bool = False


def guided(name: str, count: int, seed: int, seconds: int) -> Guided:
    """Run one target guided, in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "tests.fuzz.guided", name, str(count), folder, str(seed), str(seconds)]
        done = subprocess.run(command, capture_output=True, check=False)
        if done.returncode == NOT_INSTALLED:
            return Guided(missing=True)
        said = done.stderr.decode(errors="replace") + done.stdout.decode(errors="replace")
        found = [*_STATUS.finditer(said), *_DONE.finditer(said)]
        inputs, coverage = (int(found[-1][1]), int(found[-1][2])) if found else (0, 0)
        slow = _SLOW.search(said)
        crashes = sorted(path for kind in ("crash", "timeout", "oom") for path in Path(folder).glob(f"{kind}-*"))
        crash = crashes[0].read_bytes() if crashes else b""
        failed = done.returncode != 0
        return Guided(inputs, coverage, int(slow[1]) if slow else 0, crash, said[-3000:] if failed else "")


def main() -> int:
    name, count, folder, *more = sys.argv[1:]
    seed, seconds = [*more, "1", "0"][:2]
    try:
        import atheris  # noqa: PLC0415  an optional extra: see the exit code
    except ImportError:
        return NOT_INSTALLED
    with atheris.instrument_imports(include=["pipeline"]):
        from tests.fuzz.seeds import words_for  # noqa: PLC0415  must be loaded under the instruments
        from tests.fuzz.targets import TARGETS  # noqa: PLC0415
    target = TARGETS[name]
    corpus = Path(folder) / "corpus"
    corpus.mkdir()
    for number, data in enumerate(target.seeds()):
        (corpus / str(number)).write_bytes(data)
    words = Path(folder) / "words"
    entries = ("".join(f"\\x{byte:02x}" for byte in word) for word in words_for(name) if 0 < len(word) < 60)
    words.write_text("".join(f'"{entry}"\n' for entry in entries), encoding="ascii")
    asked = [
        f"-runs={count}",
        f"-seed={seed}",
        f"-max_len={_LONGEST}",
        f"-dict={words}",
        f"-artifact_prefix={folder}/",
        "-timeout=20",
        "-rss_limit_mb=4096",
        "-print_final_stats=1",
        *([f"-max_total_time={seconds}"] if int(seconds) else []),
        str(corpus),
    ]
    atheris.Setup([sys.argv[0], *asked], target.run)
    atheris.Fuzz()
    return 0


if __name__ == "__main__":
    sys.exit(main())
