"""What a command is doing, told on a terminal when it takes its time."""

import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Event, Thread
from typing import TypeVar

from bodytest.cli.manner import is_quiet

T = TypeVar("T")
PATIENCE_S = 2.0
"""Work that is done within this time tells nothing of itself [s]."""
_PAUSE_S = 0.2
_CLEAR = "\r\x1b[K"


@dataclass
class Progress:
    """One piece of work: what it is, and how much of it is done."""

    what: str
    """Words such as ``reading the sheets``."""
    total: int = 0
    """How many things there are to do; 0 where nobody can say."""
    done: int = 0
    """How many of them are done."""
    began: float = field(default_factory=time.monotonic)
    """When it began, on a clock that only goes forward [s]."""

    def count(self) -> None:
        """Count one thing that is taken up."""
        self.done += 1

    def counted(self, things: Iterable[T]) -> Iterator[T]:
        """Yield things and count each that is taken up."""
        for thing in things:
            self.count()
            yield thing

    def line(self, now: float) -> str:
        """Return what is told.

        >>> Progress("reading the sheets", 1000, 120, began=0.0).line(4.4)
        'reading the sheets: 120 of 1000, 4 s'
        >>> Progress("computing", began=0.0).line(2.0)
        'computing, 2 s'
        """
        count = f": {self.done} of {self.total}" if self.total > 1 else ""
        return f"{self.what}{count}, {now - self.began:.0f} s"


@contextmanager
def working(what: str, total: int = 0) -> Iterator[Progress]:
    """Tell on standard error, where it is a terminal, how far some work is that takes longer than `PATIENCE_S`."""
    progress = Progress(what, total)
    if is_quiet() or not sys.stderr.isatty():
        yield progress
        return
    finished = Event()
    teller = Thread(target=_tell, args=(progress, finished), daemon=True)
    teller.start()
    try:
        yield progress
    finally:
        finished.set()
        teller.join()


def _tell(progress: Progress, finished: Event) -> None:
    stream, pause = sys.stderr, PATIENCE_S
    while not finished.wait(pause):
        pause = _PAUSE_S
        stream.write(f"{_CLEAR}{progress.line(time.monotonic())}")
        stream.flush()
    if pause < PATIENCE_S:
        stream.write(_CLEAR)
        stream.flush()
