from __future__ import annotations

import os
import pty
import re
from io import StringIO

import pytest

from probewright.batch.runs import progress as module
from probewright.batch.runs.progress import Progress
from support import block_work


class Terminal(StringIO):
    def isatty(self):
        return True


class Clock:
    """Every block takes half a second."""

    def __init__(self):
        self.now = 0.0

    def monotonic(self):
        return self.now


@pytest.fixture
def clock(monkeypatch):
    clock = Clock()
    monkeypatch.setattr(module, "time", clock)
    return clock


def shown(clock, to, total=None, quiet=False, count=400):
    blocks = list(block_work.blocks(count))
    with Progress(total, quiet=quiet, to=to) as progress:
        def read():
            for block in blocks:
                progress.on_read(100)
                yield block

        for block in progress.following(read()):
            clock.now += 0.5
            progress.done(block)
    return to.getvalue()


def test_nothing_is_written_where_nobody_looks(clock):
    assert shown(clock, StringIO(), 4500) == ""


def test_nothing_is_written_where_quiet_was_asked_for(clock):
    assert shown(clock, Terminal(), 4500, quiet=True) == ""


def test_not_even_where_colour_is_wanted_everywhere(clock, monkeypatch):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TTY_COMPATIBLE", "1")
    assert shown(clock, StringIO(), 4500) == ""


def test_a_terminal_is_told_how_far_it_is_and_how_fast(clock, monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    text = plain(shown(clock, Terminal(), 4500))
    last = re.findall(r"(\d+)%\s+([\d,]+) cases ([\d,]+)/s", text)[-1]
    assert last[0] == "100"
    lines = len(list(block_work.lines(400)))
    assert int(last[1]) == lines
    # 45 blocks took half a second each.
    assert int(last[2]) == pytest.approx(lines / 22.5, abs=1)


def test_without_a_total_the_rate_alone_is_told(clock, monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    text = plain(shown(clock, Terminal()))
    assert re.search(r"\d+ cases \d+/s", text)
    assert "%" not in text
    assert "left" not in text


def test_what_an_earlier_run_had_done_is_soon_forgotten_by_the_rate(clock, monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    blocks, to = list(block_work.blocks(4000)), Terminal()
    with Progress(to=to) as progress:
        for block in progress.following(blocks):
            clock.now += 0.001 if block.index < 300 else 1.0
            progress.done(block)
    rate = int(re.findall(r"cases (\d+)/s", plain(to.getvalue()))[-1])
    assert rate <= block_work.LINES


def test_progress_of_blocks_ahead_of_the_results_is_not_counted(clock, monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    to, blocks = Terminal(), list(block_work.blocks(400))
    with Progress(100 * len(blocks), to=to) as progress:
        def read():
            for block in blocks:
                progress.on_read(100)
                yield block

        taken = list(progress.following(read()))
        clock.now += 1
        progress.done(taken[0])
    assert re.findall(r"(\d+)%", plain(to.getvalue()))[-1] == "2"  # 1 of 45


def plain(text):
    return re.sub(r"\x1b\[[\d;?]*[A-Za-z]", "", text)


CODE = """\
import time
from support import block_work
from probewright.batch.runs.progress import Progress
with Progress(4500) as progress:
    for block in progress.following(block_work.blocks(400)):
        time.sleep(0.01)
        progress.done(block)
"""


def test_a_command_is_quiet_on_a_pipe(started):
    process = started("-c", CODE, stdout=-1, stderr=-1)
    assert process.communicate(timeout=60) == (b"", b"")


def test_a_command_on_a_terminal_writes_to_standard_error_alone(started):
    ours, theirs = pty.openpty()
    process = started("-c", CODE, stdout=-1, stderr=theirs, environment={"TERM": "xterm"})
    os.close(theirs)
    said = b""
    try:
        while piece := os.read(ours, 65536):
            said += piece
    except OSError:  # the terminal's other end is closed
        pass
    os.close(ours)
    assert process.communicate(timeout=60)[0] == b""
    assert b"cases" in said
