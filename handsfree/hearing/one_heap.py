"""One heap for all threads, where the C library can be told so.

glibc gives each thread a heap of its own, and what one thread frees the heap of another cannot use.  A search graph is
loaded on one thread and dropped on another, so that through a walk the heaps grew to half as much again as was ever in
use (386 MB became 460 MB on an idle machine, 580 MB on a busy one).
"""

from __future__ import annotations

import ctypes

_M_ARENA_MAX = -8  # malloc.h


def keep_one_heap() -> None:
    """From now on no thread gets a new heap; nothing happens under another C library."""
    try:
        ctypes.CDLL(None).mallopt(_M_ARENA_MAX, 1)
    except (AttributeError, OSError, TypeError):  # no mallopt, or (Windows) no library without a name
        return
