"""What holds for all tests."""

from __future__ import annotations

import os
import signal

from hypothesis import settings

#: Laws are tried on the same examples in every run, so that no push fails for what it has not touched; new ones are
#: looked for with LONGNECK_LAWS=new, and by ``python -m tests.fuzz``.
settings.register_profile("same", derandomize=True)
settings.register_profile("new")
settings.load_profile(os.environ.get("LONGNECK_LAWS", "same"))


def pytest_configure() -> None:
    """Commands are ended with Ctrl-C here. A shell that runs the tests in its background has them ignore it, and every
    command that they start would inherit that."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)
