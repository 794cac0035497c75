"""The service with a sampling profiler in each of its workers: ``sampled.py FOLDER serve --port 8080 ...``.

Each worker samples its calls by its own processor time, so waiting does not count, and writes the samples into FOLDER
when it ends: lines of frames (function, space, file; outermost first, separated by semicolons), a tab, and a count.
Signals reach the main thread alone, so here it answers itself, with no others beside it.
"""

from __future__ import annotations

import atexit
import os
import signal
import sys
from collections import Counter
from pathlib import Path
from types import FrameType

from probewright.cli import main, serve

#: The kernel's clock may tick more slowly; then there are fewer samples, which are as good.
EVERY_S = 0.002


def start(folder: Path) -> None:
    """Sample this process until it ends."""
    stacks: Counter[str] = Counter()

    def sample(_signum: int, frame: FrameType | None) -> None:
        frames = []
        while frame is not None:
            frames.append(f"{frame.f_code.co_name} {frame.f_code.co_filename}")
            frame = frame.f_back
        stacks[";".join(reversed(frames))] += 1

    def write() -> None:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        lines = [f"{stack}\t{count}\n" for stack, count in stacks.items()]
        (folder / f"{os.getpid()}.stacks").write_text("".join(lines), encoding="utf-8")

    signal.signal(signal.SIGPROF, sample)
    signal.setitimer(signal.ITIMER_PROF, EVERY_S, EVERY_S)
    atexit.register(write)


def in_the_main_thread() -> None:
    """Have gunicorn answer in the main thread of each worker."""
    configuration = serve._configuration
    serve._configuration = lambda *given: {**configuration(*given), "worker_class": "sync", "threads": 1}


if __name__ == "__main__":
    target = Path(sys.argv[1])
    in_the_main_thread()
    os.register_at_fork(after_in_child=lambda: start(target))
    sys.exit(main(sys.argv[2:]))
