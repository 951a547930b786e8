"""How many cores a build takes for its own, by made-up control groups laid out as the kernel documents them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pipeline.folder.batch.cores import cores

#: Documentation/admin-guide/cgroup-v2.rst ("cpu.max") and scheduler/sched-bwc.rst of the kernel; proc file: cgroups(7).
LAID_OUT = {
    "none at all": ({}, 8),
    "no quota": ({"proc/self/cgroup": "0::/job\n", "sys/fs/cgroup/job/cpu.max": "max 100000\n"}, 8),
    "version 2": ({"proc/self/cgroup": "0::/job\n", "sys/fs/cgroup/job/cpu.max": "200000 100000\n"}, 2),
    "a core and a half": ({"proc/self/cgroup": "0::/job\n", "sys/fs/cgroup/job/cpu.max": "150000 100000\n"}, 2),
    "less than a core": ({"proc/self/cgroup": "0::/job\n", "sys/fs/cgroup/job/cpu.max": "20000 100000\n"}, 1),
    "a group above": (
        {
            "proc/self/cgroup": "0::/pod/job\n",
            "sys/fs/cgroup/pod/job/cpu.max": "600000 100000\n",
            "sys/fs/cgroup/pod/cpu.max": "300000 100000\n",
        },
        3,
    ),
    "inside a container": ({"proc/self/cgroup": "0::/\n", "sys/fs/cgroup/cpu.max": "400000 100000\n"}, 4),
    "version 1, the path of the host": (
        {
            "proc/self/cgroup": "4:memory:/docker/f00\n3:cpu,cpuacct:/docker/f00\n0::/\n",
            "sys/fs/cgroup/cpu,cpuacct/cpu.cfs_quota_us": "250000\n",
            "sys/fs/cgroup/cpu,cpuacct/cpu.cfs_period_us": "100000\n",
        },
        3,
    ),
    "version 1 without a quota": (
        {
            "proc/self/cgroup": "1:cpu:/\n",
            "sys/fs/cgroup/cpu/cpu.cfs_quota_us": "-1\n",
            "sys/fs/cgroup/cpu/cpu.cfs_period_us": "100000\n",
        },
        8,
    ),
    "more than there are": ({"proc/self/cgroup": "0::/\n", "sys/fs/cgroup/cpu.max": "6400000 100000\n"}, 8),
    "nonsense": ({"proc/self/cgroup": "x\n0::/\n", "sys/fs/cgroup/cpu.max": "7 0\n"}, 8),
}


@pytest.mark.parametrize("case", LAID_OUT)
def test_no_more_cores_than_there_is_time_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, case: str) -> None:
    files, expected = LAID_OUT[case]
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(8)), raising=False)
    assert cores(tmp_path) == expected


def test_here_there_is_at_least_one() -> None:
    assert 1 <= cores() <= (os.cpu_count() or 1)
