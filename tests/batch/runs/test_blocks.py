from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from probewright.batch.files import JobLine, Origin
from probewright.batch.runs import in_blocks
from support import block_work


def line(number, job=b"{}", reason=None, file="a.ndjson"):
    origin = Origin(file, number, number)
    return JobLine(number, origin, job) if reason is None else JobLine(number, origin, None, reason, job)


@st.composite
def inputs(draw):
    numbers = sorted(draw(st.sets(st.integers(1, 200), max_size=40)))
    lines = []
    for number in numbers:
        first = draw(st.integers(1, 5))
        unit = draw(st.sampled_from(["line", "row"]))
        origin = Origin(draw(st.sampled_from(["a", "ü"])), first, first + draw(st.integers(0, 2)), unit)
        text = draw(st.binary(max_size=30)).replace(b"\n", b"")
        reason = draw(st.sampled_from([None, "not text", "not UTF-8"]))
        lines.append(JobLine(number, origin, text) if reason is None else JobLine(number, origin, None, reason, text))
    return lines


@given(inputs(), st.integers(1, 9), st.integers(1, 90))
def test_what_goes_into_blocks_comes_out_again(lines, most_lines, most_bytes):
    blocks = list(in_blocks(iter(lines), most_lines, most_bytes))
    assert [line for block in blocks for line in block.lines()] == lines
    assert [block.index for block in blocks] == list(range(len(blocks)))
    for block in blocks:
        numbers = [line.line for line in block.lines()]
        assert (block.first_line, block.last_line, len(block)) == (numbers[0], numbers[-1], len(numbers))
        assert len(block) <= most_lines
        assert len(block.payload) <= most_bytes or len(block) == 1


def test_no_lines_are_no_blocks():
    assert list(in_blocks([])) == []


def test_lines_that_follow_one_another_are_told_in_a_few_bytes():
    (block,) = in_blocks(line(number) for number in range(1, 513))
    assert len(block) == 512
    assert len(block.places) < 100


def test_a_long_line_has_a_block_of_its_own():
    blocks = list(in_blocks([line(1), line(2, b"x" * 2000), line(3)], most_bytes=1000))
    assert [len(block) for block in blocks] == [1, 1, 1]


def test_a_newline_within_a_line_does_not_make_two_of_it():
    (block,) = in_blocks([line(1, b'{\n"case":{}}'), line(2)])
    assert [found.job for found in block.lines()] == [b'{ "case":{}}', b"{}"]


def test_blocks_are_made_as_they_are_asked_for():
    taken = []

    def lines():
        for number in range(1, 10_000):
            taken.append(number)
            yield line(number)

    next(in_blocks(lines(), most_lines=10))
    assert len(taken) == 11


@pytest.mark.parametrize(
    "other",
    [
        pytest.param([line(1, b"{ }"), line(2)], id="text"),
        pytest.param([line(1), line(3)], id="number"),
        pytest.param([line(1), line(2, file="b.ndjson")], id="file"),
        pytest.param([line(1), line(2, reason="not text")], id="reason"),
        pytest.param([line(1)], id="fewer"),
    ],
)
def test_the_digest_tells_blocks_apart(other):
    (one,), (another,) = in_blocks([line(1), line(2)]), in_blocks(other)
    assert one.digest != another.digest


def test_the_digest_of_the_same_lines_is_the_same():
    ones, others = block_work.blocks(200), block_work.blocks(200)
    assert [block.digest for block in ones] == [block.digest for block in others]


def test_a_block_names_its_lines():
    one, many = next(in_blocks([line(7)])), next(in_blocks([line(7), line(9)]))
    assert (one.told, many.told) == ("line 7", "lines 7 to 9")


def test_the_made_up_input_has_what_inputs_have():
    # The other tests rest on it.
    lines = list(block_work.lines(200))
    assert {line.origin.unit for line in lines} == {"line", "row"}
    assert any(line.reason for line in lines)
    assert len(lines) < 200
