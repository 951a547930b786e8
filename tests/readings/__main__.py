"""``python -m tests.readings``: how far the program reads bars as a musician would print them. With names of cases or
of idioms: every stop of these that is read otherwise."""

from __future__ import annotations

import sys

from tests.readings.agreement import Figure, Verdict, compare, said
from tests.readings.cases import Case, cases


def main(names: list[str]) -> int:
    """0; 2 if no case has such a name."""
    chosen = [case for case in cases() if not names or any(case.name.startswith(name) for name in names)]
    if not chosen:
        print("no such case", file=sys.stderr)
        return 2
    figures: dict[str, Figure] = {}
    for case in chosen:
        figures.setdefault(case.idiom, Figure()).add(case, _shown(case, bool(names)))
    print(f"{'idiom':<10}{'cases':>6}{'whole':>6}{'bars':>6}{'stops':>7}", end="")
    print(f"{'voice':>8}{'length':>8}{'octave':>8}{'staff':>8}{'all four':>9}{'idle (8?)':>10}")
    total = Figure()
    for idiom, figure in sorted(figures.items()):
        _row(idiom, figure)
        total += figure
    _row("all", total)
    return 0


def _shown(case: Case, closely: bool) -> tuple[Verdict, ...]:
    verdicts = compare(case)
    if closely:
        print(f"{case.name}: {case.title}. {case.why}")
        for one in verdicts:
            if not one.agrees:
                print(f"    {said(one)}")
    return verdicts


def _row(name: str, figure: Figure) -> None:
    shares = (figure.voice, figure.length, figure.octave, figure.staff)
    print(f"{name:<10}{figure.cases:>6}{figure.whole:>6}{figure.bars:>6}{figure.stops:>7}", end="")
    print("".join(f"{count / figure.stops:>8.3f}" for count in shares), end="")
    print(f"{figure.all_four / figure.stops:>9.3f}{figure.idle:>10}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
