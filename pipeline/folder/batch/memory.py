"""What a process may take of memory before our own limit: ``ulimit -v``, or the like."""

from __future__ import annotations


def allowed() -> int | None:
    """Megabytes that the system allows this process and those that it starts; None for as much as there is."""
    try:
        import resource  # noqa: PLC0415  not on every system
    except ImportError:
        return None
    known = [limit for limit in resource.getrlimit(resource.RLIMIT_AS) if limit != resource.RLIM_INFINITY]
    return min(known) // 10**6 if known else None


def within(megabytes: int) -> int:
    """The limit that will hold where so many megabytes are asked for (0: as much as there is)."""
    least = allowed()
    return megabytes if least is None or 0 < megabytes <= least else least
