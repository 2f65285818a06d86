"""What the benchmarks share: how a call is timed, and `--quick`, which only tries a script."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Timing:
    """How long calls take.

    Parameters
    ----------
    quick : bool
        Whether each is called only once, and scripts take small tasks.
    clock : callable
        The time so far, s.
    """

    quick: bool = False
    clock: Callable[[], float] = time.perf_counter

    def best(self, work: Callable[[], object], times: int = 5) -> float:
        """The quickest of a few calls, s."""
        taken = []
        for _ in range(1 if self.quick else times):
            start = self.clock()
            work()
            taken.append(self.clock() - start)
        return min(taken)


def command_line(description: str | None) -> argparse.ArgumentParser:
    """The command line of a benchmark, with its option `--quick`."""
    parser = argparse.ArgumentParser(
        description=description, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--quick", action="store_true", help="small tasks, once each: only tries the script")
    return parser
