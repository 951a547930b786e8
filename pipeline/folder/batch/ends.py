"""How the work on a piece can end before it is done, and the finding that stands for it."""

from __future__ import annotations

import traceback

from pipeline.findings.codes.batch import NOT_WORKED_ON, OUT_OF_MEMORY, OUT_OF_TIME, PROGRAM_DIED
from pipeline.folder.batch.jobs import Made
from pipeline.folder.batch.work import broken_down
from pipeline.model.diagnostics import Code, Diagnostic
from pipeline.model.text import Span


class OutOfTimeError(Exception):
    """The work took longer than its limit; the message says how long that is, and ``args[1]`` where it stood."""


class OutOfMemoryError(Exception):
    """The work wanted more memory than its limit; the message says how much that is."""


class DiedError(Exception):
    """The process ended; the message says how, and ``args[1]`` what it left behind in its stream of errors."""


class NobodyError(Exception):
    """No machine could be had for the work, through no fault of the program; the message says why."""


class BrokeDownError(Exception):
    """The work raised an exception; the message is its traceback."""


def made_of(name: str, error: BaseException) -> Made:
    """What stands for a piece whose work ended like this."""
    said = str(error.args[0]) if error.args else type(error).__name__
    more = str(error.args[1]) if len(error.args) > 1 else ""
    match error:
        case OutOfTimeError():
            hint = "Allow more time with --time-limit, or divide the piece."
            return _stopped(name, OUT_OF_TIME, f"The work was stopped: it took longer than {said}.", hint)
        case OutOfMemoryError() | MemoryError():
            hint = "Allow more with --memory-limit, or divide the piece."
            limit = said if isinstance(error, OutOfMemoryError) else "there is"
            return _stopped(name, OUT_OF_MEMORY, f"The work was stopped: it needed more memory than {limit}.", hint)
        case DiedError():
            hint = "This is a fault of the program. The other pieces have been done."
            fault = f"{name}: {said}\n{more}".rstrip()
            return _stopped(name, PROGRAM_DIED, f"longneck crashed on this piece: {said}.", hint, fault)
        case BrokeDownError():
            return broken_down(name, said)
        case NobodyError():
            return _nobody(name, said)
        case _:
            said = f"{type(error).__name__}{': ' if str(error) else ''}{error}".splitlines()[0]
            return _nobody(name, said, "".join(traceback.format_exception(error)))


def _nobody(name: str, said: str, fault: str = "") -> Made:
    hint = "Run the same command again; what is done already is not done again."
    return _stopped(name, NOT_WORKED_ON, f"No machine worked on this piece: {said}.", hint, fault)


def _stopped(name: str, code: Code, message: str, hint: str, fault: str = "") -> Made:
    return Made((Diagnostic(code, Span(name, 1, 1, 1), message, hint),), fault=fault)
