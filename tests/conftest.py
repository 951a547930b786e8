"""What holds for all tests."""

from __future__ import annotations

import signal


def pytest_configure() -> None:
    """Commands are ended with Ctrl-C here. A shell that runs the tests in its background has them ignore it, and every
    command that they start would inherit that."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
