"""Text that commands nothing, wherever it is printed."""

from __future__ import annotations

import re

#: How commands begin in the logs of services for continuous integration: ``##[…]`` anywhere, ``::…::`` where a line
#: begins. Source: the runner of GitHub Actions, ``src/Runner.Common/ActionCommand.cs``. From memory: other services
#: have a word before the bracket.
_COMMAND = re.compile(r"#(?=#\w*\[)|\A( *):(?=:)")


def printable(text: str) -> str:
    """The text with every sign that a terminal might obey, or cannot show, replaced, one by one; and so that no service
    which reads a log takes a line that begins with it for a command."""
    if not text.isprintable():
        text = "".join(sign if sign.isprintable() else " " if sign in "\t\n\r" else "\ufffd" for sign in text)
    return _COMMAND.sub(lambda found: f"{found.group(1) or ''}\ufffd", text) if "##" in text or "::" in text else text
