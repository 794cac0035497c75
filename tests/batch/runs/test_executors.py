from __future__ import annotations

import os
import signal
import time
from functools import partial
from pathlib import Path

import pytest

from probewright.batch.files import JobLine, Origin
from probewright.batch.runs import (
    BlockFailedError,
    BlockResult,
    ProcessExecutor,
    Ready,
    SerialExecutor,
    in_blocks,
)
from probewright.errors import EngineError
from support import block_work

COUNT = 400


def joined(results):
    results = list(results)
    return b"".join(result.output for result in results), b"".join(result.rejected for result in results)


EXECUTORS = [
    pytest.param(SerialExecutor, id="serial"),
    *(pytest.param(partial(ProcessExecutor, workers), id=f"{workers} processes") for workers in (1, 2, 3)),
]


@pytest.mark.parametrize("executor", EXECUTORS)
def test_whoever_works_gives_the_same_bytes(executor):
    assert joined(executor(block_work.set_up).run(block_work.blocks(COUNT))) == block_work.expected(COUNT)


@pytest.mark.parametrize("executor", EXECUTORS)
def test_no_blocks_give_no_results(executor):
    assert list(executor(block_work.set_up).run([])) == []


@pytest.mark.parametrize("executor", EXECUTORS)
def test_work_that_raises_is_told_with_its_lines_and_after_what_comes_before(executor):
    lines = [JobLine(number, Origin("a", number, number), b"raise" if number == 21 else b"{}") for number in range(40)]
    results = executor(block_work.set_up).run(in_blocks(lines, most_lines=4))
    taken = [next(results) for _ in range(5)]
    with pytest.raises(BlockFailedError) as told:
        next(results)
    assert len(taken) == 5
    assert str(told.value) == "lines 20 to 23: ValueError: a line that raises"
    assert isinstance(told.value, EngineError)
    assert "in _work" in told.value.__notes__[0]


def test_results_of_different_length_come_in_order():
    def set_up():
        def work(block):
            time.sleep(0.02 if block.index % 3 == 0 else 0)
            return BlockResult(b"%d\n" % block.index * (50_000 if block.index % 5 == 0 else 1))

        return Ready(work)

    results = ProcessExecutor(3, set_up).run(block_work.blocks(COUNT))
    assert [int(result.output.split(b"\n", 1)[0]) for result in results] == [
        block.index for block in block_work.blocks(COUNT)
    ]


def test_large_blocks_and_large_results_do_not_wait_for_each_other():
    # Larger than what a socket holds, both ways at once.
    lines = [JobLine(number, Origin("a", number, number), b"x" * 900_000) for number in range(1, 25)]
    executor = ProcessExecutor(2, lambda: Ready(lambda block: BlockResult(block.payload * 2)))
    results = executor.run(in_blocks(lines, most_lines=1))
    assert [len(result.output) for result in results] == [1_800_000] * 24


def test_it_works_in_processes_of_its_own_that_end_with_it():
    set_up = partial(Ready, lambda block: BlockResult(b"%d" % os.getpid()))
    found = {int(result.output) for result in ProcessExecutor(2, set_up).run(block_work.blocks(COUNT))}
    assert os.getpid() not in found
    assert found
    assert not any(Path(f"/proc/{process}").exists() for process in found)


def test_a_worker_uses_one_thread_for_linear_algebra(started):
    code = (
        "from probewright.batch.runs import ProcessExecutor, Ready, BlockResult, in_blocks\n"
        "from support import block_work\n"
        "import os\n"
        "def set_up():\n"
        "    import numpy as np\n"
        "    def work(block):\n"
        "        np.ones((300, 300)) @ np.ones((300, 300))\n"
        "        return BlockResult(str(len(os.listdir('/proc/self/task'))).encode())\n"
        "    return Ready(work)\n"
        "for result in ProcessExecutor(1, set_up).run(block_work.blocks(8)):\n"
        "    print(result.output.decode())\n"
    )
    process = started("-c", code, stdout=-1, text=True, environment={"OPENBLAS_NUM_THREADS": ""})
    said, _ = process.communicate(timeout=60)
    # The one that works, and the one that takes blocks in.
    assert said.split() == ["2"]


def test_blocks_are_taken_no_further_ahead_than_a_window():
    taken = []

    def blocks():
        for block in block_work.blocks(4000):
            taken.append(block.index)
            yield block

    results = ProcessExecutor(2, block_work.set_up).run(blocks())
    ahead = []
    for place, _ in enumerate(results):
        ahead.append(len(taken) - place)
    assert len(taken) > 400
    assert max(ahead) <= 9  # four for each worker, and the one whose place has just become free


def test_a_block_whose_worker_dies_is_tried_again(tmp_path):
    for number in (3, 100, 101, 250):
        (tmp_path / str(number)).touch()
    numbers = {line.line for line in block_work.lines(COUNT)}
    assert numbers >= {3, 100, 101, 250}
    results = ProcessExecutor(2, partial(block_work.set_up, deaths=tmp_path)).run(block_work.blocks(COUNT))
    assert joined(results) == block_work.expected(COUNT)
    assert len(list(tmp_path.glob("*.done"))) == 4


def test_a_block_that_ends_every_worker_is_told_by_its_lines():
    def set_up():
        def work(block):
            if block.index == 7:
                os.kill(os.getpid(), signal.SIGKILL)
            return BlockResult(b"%d" % block.index)

        return Ready(work)

    (bad,) = [block for block in block_work.blocks(COUNT) if block.index == 7]
    results = ProcessExecutor(2, set_up).run(block_work.blocks(COUNT))
    assert [next(results).output for _ in range(7)] == [b"%d" % index for index in range(7)]
    with pytest.raises(BlockFailedError) as told:
        next(results)
    assert str(told.value).startswith(f"{bad.told}: a process that works on it was ended (signal 9) 3 times")
    assert "the same command goes on there" in str(told.value)


def test_workers_that_leave_by_themselves_are_told_by_their_exit_code():
    def work(block):
        os._exit(3)

    with pytest.raises(BlockFailedError, match=r"ended \(exit code 3\) 3 times"):
        list(ProcessExecutor(1, lambda: Ready(work)).run(block_work.blocks(20)))


def test_closing_the_results_ends_the_workers():
    pids = []
    results = ProcessExecutor(2, lambda: Ready(lambda block: BlockResult(b"%d" % os.getpid()))).run(
        block_work.blocks(4000)
    )
    pids += [int(next(results).output) for _ in range(20)]
    results.close()
    assert not any(Path(f"/proc/{process}").exists() for process in set(pids))


def test_when_setting_up_fails_it_is_told_as_it_is():
    def set_up():
        raise EngineError("no packs")

    for executor in (SerialExecutor(set_up), ProcessExecutor(2, set_up)):
        with pytest.raises(EngineError, match=r"^no packs$"):
            next(executor.run(block_work.blocks(20)))


def test_what_is_wrong_with_the_input_is_told_as_it_is():
    def blocks():
        yield from block_work.blocks(100)
        raise OSError("the disk is gone")

    for executor in (SerialExecutor(block_work.set_up), ProcessExecutor(2, block_work.set_up)):
        with pytest.raises(OSError, match=r"^the disk is gone$"):
            list(executor.run(blocks()))
