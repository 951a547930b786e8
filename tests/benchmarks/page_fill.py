"""How full pages are: ``python -m tests.benchmarks.page_fill [FILE …]``.

For each piece, at the usual size and as it is printed: size of print, pages, systems on each page, the mean and the
least share of a page's height that is printed on (systems as close as they may stand; the last page left aside), and
the badness by which the size is chosen (:func:`pipeline.writers.engrave.density.badness`; 1 is a piece at its usual
size with nothing to be said against it). Without files: invented pieces of 30, 120 and 400 bars
(:mod:`tests.benchmarks.collection`), and the anthology.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from statistics import fmean

from pipeline.edition.casting import cast_off
from pipeline.edition.leading import led
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.files import decoded, discover
from pipeline.model.score import Score
from pipeline.model.text import SourceText
from pipeline.source.read import read_piece
from pipeline.writers.engrave.density import badness, chosen_pages
from pipeline.writers.engrave.pages import Composer
from pipeline.writers.engrave.paper import A4
from pipeline.writers.mei import write_mei
from tests.benchmarks.collection import piece

ANTHOLOGY = Path(__file__).parents[2] / "fixtures" / "anthology"
LENGTHS = (30, 120, 400)


def score_of(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> Score:
    read = read_piece(source, inherited)
    return notate(spell(led(read.sounding, read.song).value), read.song)


def filled(composer: Composer) -> tuple[float, float]:
    """The mean and the least fill of the pages but the last; of a single page, of that."""
    fills = composer.fills[:-1] or composer.fills
    return (fmean(fills), min(fills)) if fills else (0.0, 0.0)


def row(name: str, score: Score) -> str:
    usual = Composer.of(write_mei(cast_off(score)), score, A4)
    cast, printed = chosen_pages(score, A4)
    told = [f"{name:28}"]
    for composer, size in ((usual, cast_off(score).size), (printed, cast.size)):
        mean, least = filled(composer)
        systems = [sheet.last - sheet.first for sheet in composer.sheets]
        shown = " ".join(map(str, systems)) if len(systems) <= 4 else f"{fmean(systems[:-1]):.1f} a page"
        cost = badness(composer, len(usual.sheets), min(1.0, size))
        told.append(f"{size:4g} {len(systems):3} {shown:12} {mean:4.2f} {least:4.2f} {cost:5.2f}")
    return " | ".join(told)


def _scores(files: list[Path]) -> Iterator[tuple[str, Score]]:
    if not files:
        for bars in LENGTHS:
            yield f"{bars} bars, invented", score_of(SourceText.of("made.intav", piece(1, bars)))
    for file in discover(files or [ANTHOLOGY]):
        parcel = with_files(Reader().parcel(file), file)
        yield (
            file.path.stem,
            score_of(decoded(parcel.text).source, tuple(decoded(raw).source for raw in parcel.headings)),
        )


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.page_fill", description=__doc__)
    parser.add_argument("files", nargs="*", type=Path)
    columns = "size  pp systems      mean least  bad"
    print(f"{'':28} | {'usual size: ' + columns} | {'printed: ' + columns}")
    for name, score in _scores(parser.parse_args().files):
        print(row(name, score))
    return 0


if __name__ == "__main__":
    sys.exit(main())
