"""``python -m tests.benchmarks.voices.idioms --split train --out FILE``: true answers, one piece a line (jsonl.gz).

Seeded: the same command gives the same bytes. Arranger ``easiest`` makes all of the training part; development and
test part have both, so that a reader is judged by one that it was not taught by (``window``).
"""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.benchmarks.voices.idioms import plan, storing


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--split", choices=("train", "dev", "test"), required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    count = storing.store(asked.out, plan.pieces(asked.split, asked.seed))
    print(f"{count} pieces")


if __name__ == "__main__":
    main()
