"""Invented work on blocks: every line becomes a digest, so that output can be compared byte for byte.

As a command it makes an output as `probewright re-evaluate` would, slowly, for tests that kill it.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import sys
import time
from functools import partial
from pathlib import Path

from probewright.batch.files import JobLine, Origin
from probewright.batch.runs import (
    BlockResult,
    DaskExecutor,
    ProcessExecutor,
    Ready,
    ResumableRun,
    SerialExecutor,
    in_blocks,
)

#: Lines of a block in these tests.
LINES = 8
KEY = {"changes": "sha256:1", "service": "1"}


def lines(count, seed=0):
    """Lines of two files, with empty ones left out and some that could not be read."""
    chance = random.Random(seed)
    for number in range(1, count + 1):
        where = chance.random()
        file = "a.ndjson" if number <= count // 2 else "b.csv"
        origin = Origin(file, number, number + (file == "b.csv"), "row" if file == "b.csv" else "line")
        if where < 0.1:
            continue
        if where < 0.2:
            yield JobLine(number, origin, None, "is not text", b"\xff" * chance.randrange(9))
        else:
            yield JobLine(number, origin, b'{"case": %d}' % chance.randrange(10**9))


def blocks(count, seed=0):
    return in_blocks(lines(count, seed), most_lines=LINES)


def set_up(pause=0.0, deaths=None, busy=0.0):
    """Ready to work; ``deaths`` is a folder of files named for lines, whose worker dies and takes the file along."""
    identity = {"pack gas_range": os.environ.get("BLOCK_WORK_DIGEST", "sha256:0")}
    return Ready(partial(_work, pause=pause, deaths=deaths, busy=busy), identity)


def _work(block, pause, deaths, busy):
    time.sleep(pause)
    end = time.process_time() + busy
    while time.process_time() < end:
        hashlib.sha256(block.payload).digest()
    output, rejected = [], []
    for line in block.lines():
        if deaths is not None and (death := Path(deaths, str(line.line))).exists():
            death.rename(death.with_suffix(".done"))
            os.kill(os.getpid(), signal.SIGKILL)
        if line.job == b"raise":
            raise ValueError("a line that raises")
        if line.job is None:
            told = {"line": line.line, "file": line.origin.file, "at": str(line.origin), "reason": line.reason}
            rejected.append(json.dumps(told) + "\n")
        else:
            told = {"line": line.line, "at": str(line.origin), "digest": hashlib.sha256(line.job).hexdigest()}
            output.append(json.dumps(told) + "\n")
    tally = json.dumps({"answered": len(output), "refused": len(rejected)})
    return BlockResult("".join(output).encode(), "".join(rejected).encode(), tally.encode())


def expected(count, seed=0):
    """What an undisturbed run gives: output, and rejected lines."""
    results = list(SerialExecutor(set_up).run(blocks(count, seed)))
    return b"".join(r.output for r in results), b"".join(r.rejected for r in results)


def placed(output, part, rejected):
    """A finisher: puts both files in their places."""
    os.replace(rejected, output.with_suffix(".rejected"))
    os.replace(part, output)


def main(output, count, pause, kind, more=""):
    """Make an output; ``more`` is the number of workers, or the scheduler's address."""
    from support import block_work  # noqa: PLC0415, PLW0406  by the name that a cluster's workers know

    ready = partial(block_work.set_up, float(pause))
    executor = {
        "serial": lambda: SerialExecutor(ready),
        "processes": lambda: ProcessExecutor(int(more), ready),
        "dask": lambda: DaskExecutor(more, ready, ready().identity),
    }[kind]()
    with ResumableRun(Path(output), KEY) as run:
        sys.stdout.write(f"begun {run.done}\n")
        sys.stdout.flush()
        run.work(blocks(int(count)), executor)
        run.finish(partial(placed, Path(output)))


if __name__ == "__main__":
    main(*sys.argv[1:])
