"""``longneck check``."""

from __future__ import annotations

from pipeline.cli.app import app
from pipeline.cli.asked import Paths, pieces_under, run


@app.command(short_help="Say what cannot be right, by line and column.")
def check(paths: Paths) -> None:
    """Check every PATH, a piece (*.intav) or a folder with all pieces under it, without building.

    Each finding has a place (file:line:column), a severity and a name; "longneck explain NAME" says
    more. Errors make the exit code 1; warnings and notes do not.

    \b
    Examples:
        longneck check song.intav
        longneck check book/
    """
    from pipeline.batch import check_all  # noqa: PLC0415

    pieces = pieces_under(paths)
    run(check_all(pieces), pieces, "")
