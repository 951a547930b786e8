"""The program as a plain user runs it, also where the tests run as root, who may read and write everything."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from pathlib import Path

import pytest

#: prctl(2): take a capability from what may be had after exec, whoever runs it (Linux manual pages, capabilities(7)).
_PR_CAPBSET_DROP, _MOST = 24, 64


def _powerless() -> None:
    libc = ctypes.CDLL(None)
    for capability in range(_MOST):
        libc.prctl(_PR_CAPBSET_DROP, capability, 0, 0, 0)


def as_plain_user(*command: str, here: Path, timeout: float = 60) -> subprocess.CompletedProcess[str]:
    """Run a command in a folder without the powers of root: what its owner may not read, it cannot read."""
    before = _powerless if os.geteuid() == 0 else None
    return subprocess.run(
        command, cwd=here, capture_output=True, text=True, check=False, preexec_fn=before, timeout=timeout
    )


def longneck(*arguments: str, here: Path, timeout: float = 60) -> subprocess.CompletedProcess[str]:
    """The command line as a plain user."""
    return as_plain_user(sys.executable, "-m", "pipeline", *arguments, here=here, timeout=timeout)


def needs_permissions(folder: Path) -> None:
    """Skip where permissions mean nothing: on file systems and machines without them."""
    if not hasattr(os, "geteuid"):
        pytest.skip("this system has no permissions of this kind")
    closed = folder / "closed"
    closed.mkdir()
    closed.chmod(0)
    try:
        if as_plain_user("ls", str(closed), here=folder).returncode == 0:
            pytest.skip("permissions mean nothing here: the user cannot be made a plain one")
    finally:
        closed.rmdir()
