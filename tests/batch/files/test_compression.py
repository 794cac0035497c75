"""Compressed files, held against the libraries and the commands themselves."""

from __future__ import annotations

import gzip
import io
import json
import shutil
import subprocess

import pytest
import zstandard

from probewright.batch.files import open_jobs, write_jobs

JOBS = [{"case": {"family": "gas_range", "reference": f"invented job {n}"}} for n in range(300)]
LINES = b"".join(json.dumps(job, separators=(",", ":")).encode() + b"\n" for job in JOBS)
PACK = {"gz": gzip.compress, "zst": zstandard.ZstdCompressor().compress}
UNPACK = {
    "gz": gzip.decompress,
    "zst": lambda data: zstandard.ZstdDecompressor().stream_reader(io.BytesIO(data)).read(),
}


def jobs(path):
    return [json.loads(item.job) for item in open_jobs([str(path)])]


@pytest.mark.parametrize("ending", ["gz", "zst"])
def test_what_the_library_packed_is_read(tmp_path, ending):
    path = tmp_path / f"a.ndjson.{ending}"
    path.write_bytes(PACK[ending](LINES))
    assert jobs(path) == JOBS


@pytest.mark.parametrize("ending", ["gz", "zst"])
def test_what_is_written_the_library_unpacks(tmp_path, ending):
    path = tmp_path / f"a.ndjson.{ending}"
    assert write_jobs(iter(JOBS), str(path)) == 300
    assert UNPACK[ending](path.read_bytes()) == LINES


@pytest.mark.parametrize(("ending", "command"), [("gz", "gzip"), ("zst", "zstd")])
def test_the_commands_read_ours_and_we_read_theirs(tmp_path, ending, command):
    if shutil.which(command) is None:
        pytest.skip(f"{command} is not installed")
    ours, plain = tmp_path / f"a.ndjson.{ending}", tmp_path / "b.ndjson"
    write_jobs(iter(JOBS), str(ours))
    got = subprocess.run([command, "-dc", str(ours)], capture_output=True, check=True, timeout=30)
    assert got.stdout == LINES
    subprocess.run([command, "-t", str(ours)], capture_output=True, check=True, timeout=30)
    plain.write_bytes(LINES)
    subprocess.run([command, "-q", str(plain)], check=True, timeout=30)
    assert jobs(f"{plain}.{ending}") == JOBS


@pytest.mark.parametrize("ending", ["gz", "zst"])
def test_several_packed_files_one_behind_the_other_are_one(tmp_path, ending):
    path = tmp_path / f"a.ndjson.{ending}"
    half = LINES.index(b"\n", len(LINES) // 2) + 5  # in the middle of a line
    path.write_bytes(PACK[ending](LINES[:half]) + PACK[ending](LINES[half:]))
    assert jobs(path) == JOBS


@pytest.mark.parametrize("ending", ["gz", "zst"])
def test_a_file_that_is_cut_off_anywhere_is_refused(tmp_path, ending, refusal):
    whole = PACK[ending](b"".join(LINES.splitlines(keepends=True)[:40]))
    path = tmp_path / f"a.ndjson.{ending}"
    for length in range(len(whole)):
        path.write_bytes(whole[:length])
        assert f"a.ndjson.{ending}: its" in refusal(lambda: list(open_jobs([str(path)])))
    path.write_bytes(whole)
    assert jobs(path) == JOBS[:40]


@pytest.mark.parametrize("ending", ["gz", "zst"])
@pytest.mark.parametrize("content", [LINES, b"\x00" * 100, b"PK\x03\x04 and so on"])
def test_what_is_not_compressed_is_told(tmp_path, ending, content, refusal):
    path = tmp_path / f"a.ndjson.{ending}"
    path.write_bytes(content)
    assert "broken, or not compressed so" in refusal(lambda: jobs(path))


@pytest.mark.parametrize("ending", ["gz", "zst"])
def test_a_changed_byte_inside_is_told(tmp_path, ending, refusal):
    path = tmp_path / f"a.ndjson.{ending}"
    write_jobs(iter(JOBS), str(path))
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 0x40
    path.write_bytes(bytes(data))
    assert f"a.ndjson.{ending}: its" in refusal(lambda: list(open_jobs([str(path)])))


@pytest.mark.parametrize(
    ("content", "told"),
    [(PACK["gz"](LINES), "by gzip"), (PACK["zst"](LINES), "by zstd"), (b"PAR1....", "is Parquet"),
     (b"PK\x03\x04....", "workbook"), ("{}".encode("utf-16"), "UTF-16"), ("{}\n".encode("utf-16-be"), None)],
)  # fmt: skip
def test_what_is_something_else_than_its_name_says_is_told(tmp_path, content, told, refusal):
    path = tmp_path / "a.ndjson"
    path.write_bytes(content)
    if told is None:  # without a mark only the lines can tell
        assert all("NUL" in item.reason for item in open_jobs([str(path)]))
    else:
        assert told in refusal(lambda: jobs(path))


def test_little_that_becomes_much_is_read_in_bounded_memory(tmp_path):
    """64 MiB of one letter from a few kilobytes: a line that is too long, and a job behind it."""
    path = tmp_path / "a.ndjson.zst"
    path.write_bytes(zstandard.ZstdCompressor(level=19).compress(b"x" * 2**26 + b"\n" + LINES[: LINES.index(b"\n")]))
    assert path.stat().st_size < 20_000
    bad, good = open_jobs([str(path)])
    assert bad.reason == "is longer than 4194304 bytes"
    assert json.loads(good.job) == JOBS[0]
