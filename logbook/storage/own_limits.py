"""An end for a process that reads what anybody may have made: seconds of the processor and bytes of memory, where the system knows limits."""

from __future__ import annotations


def limit_self(seconds: int, memory: int) -> None:
    """Set both for this process; a lower limit that stands already stays."""
    try:
        import resource
    except ImportError:
        return
    for what, most in ((resource.RLIMIT_CPU, seconds), (resource.RLIMIT_AS, memory)):
        _, hard = resource.getrlimit(what)
        limit = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(what, (limit, limit))
