"""True answers, one piece a line: ``python -m tests.benchmarks.voices.idioms --split train --out FILE.jsonl.gz``.

Seeded: the same command gives the same bytes. Arranger ``easiest`` makes all of the training part; development and
test part have both, so that a reader is judged by one that it was not taught by (``window``).
"""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.benchmarks.voices.idioms import human, plan, storing

PARTS = ("train", "dev", "test")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    of = parser.add_mutually_exclusive_group(required=True)
    of.add_argument("--split", choices=PARTS, help="works of the corpus, arranged")
    of.add_argument("--human", choices=PARTS, help="what human editors printed")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    made = plan.pieces(asked.split, asked.seed) if asked.split else human.pieces(asked.human, asked.seed)
    count = storing.store(asked.out, made)
    print(f"{count} pieces")


if __name__ == "__main__":
    main()
