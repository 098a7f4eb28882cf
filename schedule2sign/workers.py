"""Work spread over processes. What is worked on reaches them by fork, so only answers are sent."""

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from multiprocessing.connection import wait as wait_for
from typing import Any, TypeVar

T = TypeVar("T")
Progress = Callable[[str, int, int], None]  # what is done now, how many of how many
MANY_SIGNS = 100  # fewer are worked on before a second process has started
_AHEAD = 2  # pieces a worker is given before its answers are taken: bounds what waits in memory
_SELDOM = 20_000  # new objects before the collector looks for cycles
_work: Callable[[int], Any] | None = None  # set before the fork, so that nothing of it is sent


def count_cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def scatter(work: Callable[[int], T], count: int, workers: int) -> Iterator[tuple[int, T]]:
    """Every number below `count` with what `work` makes of it, as they are done.

    Raises:
        BrokenProcessPool: a worker died. What `work` raises is raised here.
    """
    workers = min(workers, count)
    if workers < 2:
        yield from ((index, work(index)) for index in range(count))
        return
    global _work
    _work = work
    try:
        with settled(), ProcessPoolExecutor(workers, multiprocessing.get_context("fork"), _begin) as pool:
            left = iter(range(count))
            waiting: dict[Future[T], int] = {}
            try:
                while True:
                    for index in left:
                        waiting[pool.submit(_do, index)] = index
                        if len(waiting) >= _AHEAD * workers:
                            break
                    if not waiting:
                        return
                    for done in wait(waiting, return_when=FIRST_COMPLETED).done:
                        yield waiting.pop(done), done.result()
            finally:
                pool.shutdown(wait=False, cancel_futures=True)
    finally:
        _work = None


@contextmanager
def settled() -> Iterator[None]:
    """What is in memory now is kept: the collector does not walk it again, and a fork shares it."""
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


@contextmanager
def growing() -> Iterator[None]:
    """While much is made that stays: the collector walks all of it again less often."""
    before = gc.get_threshold()
    gc.set_threshold(_SELDOM, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)


def _do(index: int) -> Any:
    if _work is None:
        raise RuntimeError("a worker was started without work")
    return _work(index)


def _begin() -> None:
    """In a worker: an interrupt is the parent's to answer, and no worker outlives its parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(_SELDOM, *gc.get_threshold()[1:])
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait_for([parent.sentinel])
        os._exit(1)
