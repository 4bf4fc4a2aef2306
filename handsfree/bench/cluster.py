"""The same work on a Dask cluster: the only module that imports distributed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from threading import Lock
from typing import Any, TypeVar

from handsfree.bench.errors import BenchError
from handsfree.bench.running import Place

_One = TypeVar("_One")
_Done = TypeVar("_Done")
_one_at_a_time = Lock()
_WAIT_S = 30


def run_on(
    address: str, work: Callable[[Place, Sequence[_One]], list[_Done]], place: Place, lots: Sequence[Sequence[_One]]
) -> Iterator[_Done]:
    """Do the work on each lot in the workers of a cluster; what is done comes as it is done.  Raises BenchError.

    Each worker needs this package, the speech model, the synthesisers and the checklist; ``dask worker --nthreads 1``
    makes the best use of it.
    """
    if not lots:
        return
    dask = _distributed()
    try:
        client = dask.Client(address, timeout=_WAIT_S)
    except (OSError, ValueError) as error:
        raise BenchError(f"no Dask scheduler answers at {address}", "look at its log for its address") from error
    with client:
        futures = [client.submit(_alone, work, place, lot, pure=False) for lot in lots]
        for _, done in dask.as_completed(futures, with_results=True):
            yield from done


def _alone(work: Callable[[Place, Sequence[_One]], list[_Done]], place: Place, lot: Sequence[_One]) -> list[_Done]:
    """One at a time in each process: another one beside it would spoil the times."""
    with _one_at_a_time:
        return work(place, lot)


def _distributed() -> Any:
    try:
        import distributed  # noqa: PLC0415  # an extra, and slow to load
    except ImportError as error:
        raise BenchError(
            "a cluster needs the package 'distributed'", "install this package with its extra: [cluster]"
        ) from error
    return distributed
