"""What a runner takes for a command in the lines that a step prints.

Written from the runner's published source: actions/runner, ``src/Runner.Common/ActionCommand.cs`` (how a line is read,
in both forms) and ``src/Runner.Worker/ActionCommandManager.cs`` (the newer form is tried first; names without regard to
case; which commands there are).
"""

from __future__ import annotations

COMMANDS = frozenset(
    (
        "stop-commands",
        "set-env",
        "set-output",
        "save-state",
        "add-mask",
        "add-path",
        "add-matcher",
        "remove-matcher",
        "warning",
        "error",
        "notice",
        "debug",
        "group",
        "endgroup",
        "echo",
    )
)


def obeyed(output: str) -> list[tuple[str, str]]:
    """Every command in an output, with what it is given."""
    return [found for line in output.splitlines() if (found := _newer(line) or _older(line))]


def _newer(line: str) -> tuple[str, str] | None:
    line = line.lstrip()
    if not line.startswith("::"):
        return None
    name, end, data = line[2:].partition("::")
    return _known(name.split(" ", 1)[0], data) if end else None


def _older(line: str) -> tuple[str, str] | None:
    _, begin, rest = line.partition("##[")
    name, end, data = rest.partition("]")
    return _known(name.split(" ", 1)[0], data) if begin and end else None


def _known(name: str, data: str) -> tuple[str, str] | None:
    return (name.lower(), data) if name.lower() in COMMANDS else None
