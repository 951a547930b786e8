"""``longneck check``."""

from __future__ import annotations

from pipeline.cli.asked import Paths, pieces_under, slow
from pipeline.cli.crews import MEGABYTES, SECONDS, Jobs, MemoryLimit, TimeLimit, crew
from pipeline.cli.reports import BaselineFile, Everything, ReportFiles, WriteBaseline, reporting
from pipeline.cli.running import run
from pipeline.folder.batch import check_all


def check(
    paths: Paths,
    report: ReportFiles = None,
    baseline: BaselineFile = None,
    write_baseline: WriteBaseline = False,
    everything: Everything = False,
    jobs: Jobs = 0,
    time_limit: TimeLimit = SECONDS,
    memory_limit: MemoryLimit = MEGABYTES,
) -> None:
    """Check every PATH, a piece (*.intav) or a folder with all pieces under it, without building.

    Each finding has a place (file:line:column), a severity and a name; "longneck explain NAME" says
    more. Errors come first, and make the exit code 1; warnings and notes do not, and where a folder has
    many they are only counted.

    \b
    Examples:
        longneck check song.intav
        longneck check book/
        longneck check book/ --report sarif=findings.sarif --report github=-
        longneck check book/ --baseline known.json --write-baseline
    """
    asked = reporting(report, baseline, write_baseline, everything)
    found = pieces_under(paths)
    with crew(jobs, time_limit, memory_limit) as there:
        run(check_all(found.pieces, there, slow), found, "", asked)
