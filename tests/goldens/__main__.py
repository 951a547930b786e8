"""``python -m tests.goldens``: what has changed, as a diff; with ``--renew`` the goldens are kept anew."""

from __future__ import annotations

import argparse
import sys

from tests.goldens.keeping import KEPT, changes, golden, orphans, path_of, pieces


def main() -> int:
    """0 if nothing has changed, or all was renewed; 1 otherwise."""
    parser = argparse.ArgumentParser(prog="python -m tests.goldens", description=__doc__)
    parser.add_argument("--renew", action="store_true", help="keep the new state; look at the diff before")
    renew = parser.parse_args().renew
    changed = 0
    for name, file in pieces().items():
        now = golden(file)
        diff = list(changes(name, now))
        if diff:
            changed += 1
            print("\n".join(diff))
            if renew:
                KEPT.mkdir(exist_ok=True)
                path_of(name).write_text(now, encoding="utf-8")
    for name in orphans():
        changed += 1
        print(f"{name}: no piece has this golden")
        if renew:
            (KEPT / name).unlink()
    print(f"{changed} changed{', renewed' if renew and changed else ''}")
    return 0 if renew or not changed else 1


if __name__ == "__main__":
    sys.exit(main())
