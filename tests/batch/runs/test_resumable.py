from __future__ import annotations

import json
import os
import random
import resource
import signal
import time
import tracemalloc
from collections import Counter
from functools import partial
from io import BytesIO
from pathlib import Path

import pytest

from probewright.batch.files import JobLine, Origin
from probewright.batch.runs import (
    BlockFailedError,
    ResumableRun,
    RunError,
    SerialExecutor,
    begun,
    in_blocks,
    resumable,
    stream,
)
from probewright.batch.runs.blocks import Ready
from support import block_work

COUNT = 400
KEY = block_work.KEY


class StopError(Exception):
    pass


@pytest.fixture
def output(tmp_path):
    return tmp_path / "out.ndjson"


def made(output):
    return output.read_bytes(), output.with_suffix(".rejected").read_bytes()


def make(output, key=KEY, *, count=COUNT, seed=0, restart=False, seen=lambda _, __: None):
    """Make the whole output; tells how many blocks were worked on now."""
    worked = Counter()

    def set_up():
        work = block_work.set_up().work

        def counted(block):
            worked["blocks"] += 1
            return work(block)

        return Ready(counted)

    with ResumableRun(output, key, restart=restart) as run:
        run.work(block_work.blocks(count, seed), SerialExecutor(set_up), seen)
        run.finish(partial(block_work.placed, output))
    return worked["blocks"]


def stopped(output, after, key=KEY, *, count=COUNT):
    """Leave a run after some blocks."""

    def seen(block, _):
        if block.index + 1 == after:
            raise StopError

    with pytest.raises(StopError):
        make(output, key, count=count, seen=seen)


def journal(output):
    return output.with_name(f"{output.name}.journal")


def part(output):
    return output.with_name(f"{output.name}.part")


def part_rejected(output):
    return output.with_name(f"{output.name}.part-rejected")


BLOCKS = len(list(block_work.blocks(COUNT)))


def test_an_undisturbed_run_leaves_nothing_but_its_outputs(output):
    assert make(output) == BLOCKS
    assert made(output) == block_work.expected(COUNT)
    assert sorted(path.name for path in output.parent.iterdir()) == ["out.ndjson", "out.rejected"]


def test_no_lines_make_empty_outputs(output):
    assert make(output, count=0) == 0
    assert made(output) == (b"", b"")


def test_a_run_that_was_left_goes_on_where_it_was(output):
    stopped(output, 20)
    assert begun(output)
    assert not output.exists()
    assert make(output) == BLOCKS - 20
    assert made(output) == block_work.expected(COUNT)
    assert not begun(output)


def test_what_was_done_before_is_counted_too(output):
    stopped(output, 20)
    tallies = []
    make(output, seen=lambda block, tally: tallies.append((block.index, json.loads(tally))))
    assert [index for index, _ in tallies] == list(range(BLOCKS))
    out, rejected = block_work.expected(COUNT)
    assert sum(tally["answered"] for _, tally in tallies) == out.count(b"\n")
    assert sum(tally["refused"] for _, tally in tallies) == rejected.count(b"\n")


def test_a_run_that_was_left_when_all_was_done_only_finishes(output):
    stopped(output, BLOCKS)
    assert make(output) == 0
    assert made(output) == block_work.expected(COUNT)


def test_a_finisher_that_fails_can_be_tried_again(output):
    def fails(_, __):
        raise StopError

    with ResumableRun(output, KEY) as run:
        run.work(block_work.blocks(COUNT), SerialExecutor(block_work.set_up))
        with pytest.raises(StopError):
            run.finish(fails)
    assert make(output) == 0
    assert made(output) == block_work.expected(COUNT)


def test_the_journal_of_a_finished_run_binds_nobody(output, monkeypatch):
    # As when it was killed between the outputs and the removal of what is left.
    monkeypatch.setattr(Path, "unlink", lambda path, missing_ok=False: None)
    with ResumableRun(output, KEY) as run:
        run.work(block_work.blocks(COUNT), SerialExecutor(block_work.set_up))
        run.finish(lambda part, rejected: None)
    assert begun(output)
    assert part(output).exists()
    monkeypatch.undo()
    with ResumableRun(output, KEY) as run:
        assert run.done == BLOCKS
    assert make(output, {"changes": "another"}) == BLOCKS
    assert made(output) == block_work.expected(COUNT)


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ({**KEY, "changes": "sha256:2"}, "^changes differs from when .*out.ndjson.journal was begun"),
        ({"changes": KEY["changes"]}, "^service differs"),
        ({**KEY, "changes": "2", "effort": "quick"}, "^changes, effort differ from"),
    ],
)
def test_what_differs_from_before_is_named(output, key, told):
    stopped(output, 20)
    with pytest.raises(RunError, match=f"{told}.*--restart"):
        make(output, key)
    # And nothing was lost by asking.
    assert make(output) == BLOCKS - 20


def test_another_input_is_refused_where_it_differs(output):
    stopped(output, 20)
    first = next(block for block in block_work.blocks(COUNT, seed=1))
    with pytest.raises(RunError, match=f"the input differs, at {first.told}, from when .*--restart"):
        make(output, seed=1)
    assert make(output) == BLOCKS - 20


def test_an_input_that_has_become_shorter_is_refused(output):
    stopped(output, 20)
    with pytest.raises(RunError, match=r"the input (ends earlier than|differs, at lines .*, from) when .*--restart"):
        make(output, count=100)
    with pytest.raises(RunError, match=r"the input ends earlier than when .*--restart"):
        make(output, count=0)
    assert make(output) == BLOCKS - 20


def test_a_restart_begins_anew_whatever_differs(output):
    stopped(output, 20)
    key = {"changes": "another"}
    assert make(output, key, seed=1, restart=True) == len(list(block_work.blocks(COUNT, 1)))
    assert made(output) == block_work.expected(COUNT, seed=1)


def test_nothing_done_binds_nobody(output):
    with ResumableRun(output, KEY):
        pass
    assert make(output, {"changes": "another"}) == BLOCKS


def test_a_second_run_of_the_same_output_is_refused(output):
    with ResumableRun(output, KEY) as run:
        with pytest.raises(RunError, match=r"another process is at work on this output: it holds .*\.journal"):
            make(output)
        with pytest.raises(RunError, match="another process"):
            make(output, restart=True)
        run.work(block_work.blocks(COUNT), SerialExecutor(block_work.set_up))
        run.finish(partial(block_work.placed, output))
    assert made(output) == block_work.expected(COUNT)


@pytest.mark.parametrize("content", [b"my own notes\n", b'{"journal": 1}\n', b"notes", b"00000000 {}\n"])
@pytest.mark.parametrize("restart", [False, True])
def test_a_file_that_is_no_journal_is_left_alone(output, content, restart):
    journal(output).write_bytes(content)
    with pytest.raises(RunError, match=r"is not the journal of a run.*remove it"):
        make(output, restart=restart)
    assert journal(output).read_bytes() == content


@pytest.mark.parametrize("content", [b"", b"\0" * 300, b'1a2b3c4d {"journal":1,"key":{"chan'])
def test_a_journal_that_was_cut_off_in_its_first_line_holds_nothing(output, content):
    journal(output).write_bytes(content)
    assert make(output) == BLOCKS
    assert made(output) == block_work.expected(COUNT)


def test_a_journal_cut_off_anywhere_gives_the_same_bytes(output):
    stopped(output, 20)
    whole, parts = journal(output).read_bytes(), part(output).read_bytes()
    rejected = part_rejected(output).read_bytes()
    chance = random.Random(11)
    for length in [*chance.sample(range(len(whole)), 25), len(whole) - 1]:
        journal(output).write_bytes(whole[:length])
        # The lines that it no longer tells of may be whole, or half, or followed by what a loss of power left.
        part(output).write_bytes(parts + chance.choice([b"", b"\0" * 4096, b'{"line": 9']))
        part_rejected(output).write_bytes(rejected)
        done = max(0, whole[:length].count(b"\n") - 1)
        assert make(output) == BLOCKS - done
        assert made(output) == block_work.expected(COUNT)


def test_garbage_in_a_journal_ends_what_is_believed(output):
    stopped(output, 20)
    whole, parts = journal(output).read_bytes(), part(output).read_bytes()
    rejected = part_rejected(output).read_bytes()
    head = whole.index(b"\n") + 1
    chance = random.Random(12)
    for _ in range(15):
        place = chance.randrange(head, len(whole) - 1)
        garbage = whole[:place] + bytes([whole[place] ^ (1 << chance.randrange(8))]) + whole[place + 1 :]
        journal(output).write_bytes(garbage)
        part(output).write_bytes(parts)
        part_rejected(output).write_bytes(rejected)
        assert make(output) == BLOCKS - (whole[:place].count(b"\n") - 1)
        assert made(output) == block_work.expected(COUNT)


def test_a_part_file_shorter_than_its_journal_is_made_again_from_there(output):
    stopped(output, 20)
    length = part(output).stat().st_size
    os.truncate(part(output), length // 2)
    assert BLOCKS - 20 < make(output) < BLOCKS
    assert made(output) == block_work.expected(COUNT)


def test_part_files_that_are_gone_are_made_again(output):
    stopped(output, 20)
    part(output).unlink()
    assert make(output) == BLOCKS
    assert made(output) == block_work.expected(COUNT)


def test_the_journal_never_tells_of_what_is_not_on_disk(output, monkeypatch):
    on_disk, told = {}, []

    def fsync(descriptor):
        path = os.readlink(f"/proc/self/fd/{descriptor}")
        on_disk[path] = os.fstat(descriptor).st_size
        if path.endswith(".journal"):
            last = json.loads(journal(output).read_bytes().splitlines()[-1].split(b" ", 1)[1])
            if "block" in last:
                told.append(last["block"])
                assert on_disk[str(part(output))] >= last["output"]
                assert on_disk[str(part_rejected(output))] >= last["rejected"]

    monkeypatch.setattr(os, "fsync", fsync)
    assert make(output) == BLOCKS
    assert told[-1] == BLOCKS - 1


def test_blocks_that_are_done_fast_are_brought_to_disk_together(output, monkeypatch):
    synced = []
    now = [0.0]

    def fsync(descriptor):
        now[0] += 0.02  # a disk of its own time
        synced.append(descriptor)

    class Clock:
        @staticmethod
        def monotonic():
            return now[0]

    def seen(block, tally):
        now[0] += 0.001

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(resumable, "time", Clock)
    make(output, seen=seen)
    assert len(synced) < BLOCKS
    assert made(output) == block_work.expected(COUNT)


def test_a_full_disk_is_told_and_what_is_done_is_kept(output):
    limit = 15_000
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, hard))
    try:
        with pytest.raises(RunError, match=r"cannot write .*out\.ndjson\.part: File too large; the same command goes"):
            make(output)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert len(block_work.expected(COUNT)[0]) > limit
    assert 0 < make(output) < BLOCKS
    assert made(output) == block_work.expected(COUNT)


@pytest.mark.parametrize("place", ["missing/out.ndjson", "file/out.ndjson"])
def test_a_place_that_cannot_be_written_is_told(tmp_path, place):
    (tmp_path / "file").touch()
    with pytest.raises(RunError, match=r"^cannot write .*out\.ndjson\.journal: "):
        make(tmp_path / place)


def test_a_block_that_fails_leaves_what_is_done(output):
    def set_up():
        work = block_work.set_up().work
        return Ready(lambda block: 1 / 0 if block.index == 20 else work(block))

    with pytest.raises(BlockFailedError, match="ZeroDivisionError"), ResumableRun(output, KEY) as run:
        run.work(block_work.blocks(COUNT), SerialExecutor(set_up))
    assert make(output) == BLOCKS - 20
    assert made(output) == block_work.expected(COUNT)


@pytest.mark.parametrize(("kind", "more"), [("serial", []), ("processes", ["1"]), ("processes", ["3"])])
def test_a_run_killed_again_and_again_gives_the_same_bytes(output, started, kind, more):
    chance = random.Random(f"{kind}{more}")
    command = ["-m", "support.block_work", str(output), str(COUNT), "0.04", kind, *more]
    kills = done = 0
    for target in sorted(chance.sample(range(1, BLOCKS - 5), 4)):
        process = started(*command, stdout=-1)
        assert process.stdout.readline() == b"begun %d\n" % done
        while journaled(output) < target and process.poll() is None:
            time.sleep(0.002)
        time.sleep(chance.random() * 0.03)
        process.kill()
        kills += process.wait() == -signal.SIGKILL
        done = journaled(output)
    last = started(*command, stdout=-1)
    assert last.stdout.read() == b"begun %d\n" % done
    assert last.wait() == 0
    assert kills
    assert made(output) == block_work.expected(COUNT)


def journaled(output):
    try:
        return journal(output).read_bytes().count(b'{"block"')
    except FileNotFoundError:
        return 0


def test_nobody_works_on_when_the_parent_is_killed(output, started):
    process = started("-m", "support.block_work", str(output), "4000", "0.3", "processes", "2", stdout=-1)
    process.stdout.readline()
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    workers = []
    while len(workers) < 2:
        workers = children.read_text().split()
    process.kill()
    process.wait()
    assert gone(workers)
    # The lock went with it, though the workers were forked while it was held.
    assert make(output, count=4000) > 0


def gone(workers):
    """Whether these processes end, given some seconds."""
    for _ in range(500):
        if not any(Path(f"/proc/{worker}").exists() for worker in workers):
            return True
        time.sleep(0.02)
    return False


LINGERING = """
import os, sys, time
from pathlib import Path
from probewright.batch.runs import ResumableRun
with ResumableRun(Path(sys.argv[1]), {}):
    if os.fork() == 0:
        print(os.getpid(), flush=True)
    time.sleep(60)
"""


def test_a_child_that_outlives_its_parent_has_no_lock(output, started):
    process = started("-c", LINGERING, str(output), stdout=-1)
    child = int(process.stdout.readline())
    try:
        with pytest.raises(RunError, match="another process is at work"):
            make(output)
        process.kill()
        process.wait()
        assert Path(f"/proc/{child}").exists()
        assert make(output) == BLOCKS
    finally:
        os.kill(child, signal.SIGKILL)


def test_an_interrupt_ends_all_cleanly_and_the_run_goes_on(output, started):
    process = started(
        "-m", "support.block_work", str(output), str(COUNT), "0.05", "processes", "2",
        stdout=-1, stderr=-1, start_new_session=True,
    )  # fmt: skip
    process.stdout.readline()
    while journaled(output) < 5:
        time.sleep(0.005)
    workers = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: all of them
    _, said = process.communicate(timeout=30)
    assert said.count(b"Traceback") == 1  # this script's own; no worker says anything
    assert said.strip().endswith(b"KeyboardInterrupt")
    assert gone(workers)
    assert 0 < make(output) < BLOCKS
    assert made(output) == block_work.expected(COUNT)


def test_memory_does_not_grow_with_the_input(output):
    def lines(count):
        for number in range(1, count + 1):
            yield JobLine(number, Origin("a", number, number), b"%d" % number * 300)

    def peak(count):
        tracemalloc.reset_peak()
        with ResumableRun(output, KEY) as run:
            run.work(in_blocks(lines(count), most_lines=64), SerialExecutor(block_work.set_up))
            run.finish(partial(block_work.placed, output))
        return tracemalloc.get_traced_memory()[1]

    tracemalloc.start()
    try:
        few, many = peak(1000), peak(10_000)
    finally:
        tracemalloc.stop()
    assert output.stat().st_size > 1_000_000
    assert many < few * 1.5


def test_results_go_to_a_stream_as_they_come():
    output, rejected, seen = BytesIO(), BytesIO(), []
    executor = SerialExecutor(block_work.set_up)
    stream(block_work.blocks(COUNT), executor, output, rejected, lambda block, tally: seen.append(block.index))
    assert (output.getvalue(), rejected.getvalue()) == block_work.expected(COUNT)
    assert seen == list(range(BLOCKS))


def test_a_line_is_told_where_it_stands_in_its_own_file():
    _, rejected = block_work.expected(COUNT)
    told = [json.loads(line) for line in rejected.splitlines()]
    lines = {line.line: line for block in in_blocks(block_work.lines(COUNT)) for line in block.lines()}
    assert {one["file"] for one in told} == {"a.ndjson", "b.csv"}
    for one in told:
        assert one["at"] == str(lines[one["line"]].origin)
