"""True answers, one piece a line: ``python -m tests.benchmarks.voices.idioms --split train --out FILE.jsonl.gz``.

Seeded: the same command gives the same bytes. Development and test part have both arrangers. The training part has the
one that is asked for: a reader taught by ``easiest`` alone is judged by one that it never heard (``window``).
"""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.benchmarks.voices.idioms import human, making, plan, storing

PARTS = ("train", "dev", "test")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    of = parser.add_mutually_exclusive_group(required=True)
    of.add_argument("--split", choices=PARTS, help="works of the corpus, arranged")
    of.add_argument("--human", choices=PARTS, help="what human editors printed")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--arranger", choices=making.ARRANGERS, default="easiest", help="of the training part")
    asked = parser.parse_args()
    made = (
        plan.pieces(asked.split, asked.seed, asked.arranger) if asked.split else human.pieces(asked.human, asked.seed)
    )
    count = storing.store(asked.out, made)
    print(f"{count} pieces")


if __name__ == "__main__":
    main()
