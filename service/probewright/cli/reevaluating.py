"""``probewright re-evaluate``."""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from typing import Any, BinaryIO

import orjson

from probewright.batch.files import Source, check_output, find_sources, read_sources, sweep, write_results
from probewright.batch.files.outputs import output as whole_output
from probewright.batch.files.sources import by_ending
from probewright.batch.report import About, report_page
from probewright.batch.runs import (
    Block,
    DaskExecutor,
    Executor,
    ProcessExecutor,
    Ready,
    ResumableRun,
    SerialExecutor,
    begun,
    in_blocks,
    stream,
)  # fmt: skip
from probewright.batch.runs.installed import load, read_shop
from probewright.batch.runs.progress import Progress
from probewright.batch.summary import Tally
from probewright.batch.working import Asked, ready, set_up
from probewright.cli.common import Exit, UnusableError
from probewright.errors import InvalidCase, RequestError
from probewright.intake import MalformedJsonError, read_json
from probewright.packs.registry import Registry
from probewright.settings import Settings

STREAM = "-"
#: Bytes of a file of changes.
_MOST_CHANGES = 8_388_608
#: What a run keeps beside its output until it is finished.
_BESIDE = (".part", ".part-rejected", ".journal")
_CHANGED = {
    "hazard_shows": "where a hazard now shows", "hazard_gone": "where a hazard shows no longer",
    "swapped_part_good": "where a replaced part looks good", "leading_fault": "with another leading fault",
    "next_step": "with another next step", "verdict": "with another verdict",
    "not_computed": "with an earlier answer that could not be compared",
}  # fmt: skip


class ChangesError(RequestError):
    """The file of changes breaks its contract, or names what the packs do not have."""

    code = "invalid_changes"

    def __init__(self, file: str, error: InvalidCase) -> None:
        count = len(error.faults)
        super().__init__(f"{file} has {count} fault{'s' * (count != 1)}: {error}")


class _Run:
    """One call of the command."""

    def __init__(self, given: argparse.Namespace) -> None:
        self.given = given
        settings = Settings.from_environment(os.environ)
        self.asked = Asked(
            _changes(given.changes), read_shop([*settings.shop_files, *given.shop]), settings, given.effort,
            given.recompute, given.answers, given.strict or settings.strict_packs,
        )  # fmt: skip
        self.registry: Registry = load(self.asked.shop, strict=self.asked.strict)
        try:
            self.ready: Ready = ready(self.asked, self.registry)
        except InvalidCase as error:
            raise ChangesError(str(given.changes), error) from None
        self.tally = Tally()

    def go(self) -> int:
        """Ask all jobs again, and write what became of them."""
        given = self.given
        sources = find_sources(given.input, given.format)
        _check_inputs(sources, given)
        sizes = [source.size for source in sources]
        total = None if None in sizes else sum(size for size in sizes if size is not None)
        with Progress(total, quiet=given.quiet) as progress:

            def seen(block: Block, tally: bytes) -> None:
                self.tally.merge(Tally.from_json(orjson.loads(tally)))
                progress.done(block)

            blocks = progress.following(in_blocks(read_sources(sources, on_read=progress.on_read)))
            if given.output == STREAM:
                self._stream(blocks, seen)
            else:
                self._resumable(blocks, seen)
        summary = self.tally.document()
        if not given.quiet:
            sys.stderr.write(_told(summary, given.output, _beside(given)))
        found = summary["refused"] or summary["by_change"].get("hazard_shows")
        return Exit.ATTENTION if found else Exit.OK

    def _executor(self) -> Executor:
        if self.given.dask is not None:
            return DaskExecutor(self.given.dask, partial(set_up, self.asked), self.ready.identity)
        if self.given.workers > 1:
            return ProcessExecutor(self.given.workers, lambda: self.ready)
        return SerialExecutor(lambda: self.ready)

    def _stream(self, blocks: Iterator[Block], seen: Any) -> None:
        with ExitStack() as stack:
            rejected = None
            if self.given.rejected is not None:
                rejected = stack.enter_context(_side_file(self.given.rejected, overwrite=self.given.force))
            stream(blocks, self._executor(), sys.stdout.buffer, rejected, seen)
        sys.stdout.buffer.write(orjson.dumps({"summary": self.tally.document()}) + b"\n")
        sys.stdout.buffer.flush()
        self._write_reports()

    def _resumable(self, blocks: Iterator[Block], seen: Any) -> None:
        output = Path(self.given.output)
        with ResumableRun(output, self._key(), restart=self.given.restart) as run:
            run.work(blocks, self._executor(), seen)
            run.finish(self._finish)

    def _key(self) -> dict[str, str]:
        """What the results depend on beside the input."""
        asked = self.asked
        return {
            "changes": hashlib.sha256(asked.changes).hexdigest(),
            "options": f"effort {asked.effort}, recompute {asked.recompute}, answers {asked.answers}",
            **self.ready.identity,
        }

    def _finish(self, part: Path, rejected: Path) -> None:
        """The output itself comes last: when it is there, all is."""
        beside = Path(str(_beside(self.given)))
        for path in _written(self.given):
            sweep(path)
        if self.given.rejected is not None or rejected.stat().st_size:
            with _side_file(beside) as to, rejected.open("rb") as lines:
                shutil.copyfileobj(lines, to)
        elif self.given.force:
            # What an earlier run rejected would be taken for this one's.
            beside.unlink(missing_ok=True)
        self._write_reports()
        write_results(self._lines(part), self.given.output, overwrite=True)

    def _lines(self, part: Path) -> Iterator[Mapping[str, Any] | bytes]:
        with part.open("rb") as lines:
            yield from lines
        yield {"summary": self.tally.document()}

    def _write_reports(self) -> None:
        given = self.given
        if given.summary is not None:
            with _side_file(given.summary) as to:
                to.write(orjson.dumps(self.tally.document(), option=orjson.OPT_INDENT_2) + b"\n")
        if given.report is not None:
            families = [pack.family for pack in self.registry.packs.values()]
            about = About.of(self.asked.load_changes(), families, inputs=tuple(given.input))
            with _side_file(given.report) as to:
                to.write(report_page(self.tally.to_json(), about).encode())


def reevaluate(given: argparse.Namespace) -> int:
    """Ask stored jobs again; the exit code says whether a hazard now shows or a line was rejected."""
    _check_outputs(given)
    return _Run(given).go()


def _check_outputs(given: argparse.Namespace) -> None:
    """Refuse before the work and not after it."""
    check_output(given.output, overwrite=True)
    # What an earlier run of the same command left may be finished whatever is there.
    overwrite = given.force or (given.output != STREAM and begun(Path(given.output)))
    if given.output == STREAM and given.restart:
        raise UnusableError("--restart is for an output that is a file: standard output keeps nothing to go on from")
    _check(given.output, None, overwrite)
    if given.rejected is not None and by_ending(given.rejected)[0] not in (None, "ndjson"):
        raise UnusableError(f"cannot write {given.rejected}: rejected jobs are written as NDJSON")
    for path in (_beside(given), given.summary, given.report):
        if path == STREAM:
            raise UnusableError("only the results can go to standard output; name a file for the others")
        if path is not None:
            _check(path, "ndjson", overwrite)
    written = _written(given)
    if len({os.path.realpath(path) for path in written}) < len(written):
        raise UnusableError("two outputs have the same name")


def _check(path: str, form: str | None, overwrite: bool) -> None:
    if not overwrite and path != STREAM and os.path.isfile(path):
        raise UnusableError(f"cannot write {path}: it is there already; --force writes over it")
    check_output(path, form, overwrite=overwrite)


def _check_inputs(sources: Sequence[Source], given: argparse.Namespace) -> None:
    """The stored jobs are never written over, nor the changes."""
    written = {os.path.realpath(path) for path in _written(given)}
    for path in (*(source.path for source in sources if source.path != STREAM), given.changes):
        if path is not None and os.path.realpath(path) in written:
            raise UnusableError(f"{path} is read, so it cannot be written: give the output another name")


def _written(given: argparse.Namespace) -> list[str]:
    """The files that are written, those included that are there only while it works."""
    written = [path for path in (_beside(given), given.summary, given.report) if path is not None]
    return written if given.output == STREAM else [given.output, *(given.output + name for name in _BESIDE), *written]


def _beside(given: argparse.Namespace) -> str | None:
    """Where rejected jobs go, where they go anywhere."""
    if given.rejected is not None or given.output == STREAM:
        return None if given.rejected is None else str(given.rejected)
    return f"{given.output}.rejected.ndjson"


@contextmanager
def _side_file(path: str | Path, *, overwrite: bool = True) -> Iterator[BinaryIO]:
    """A file beside the output, compressed where its name says so."""
    with whole_output(str(path), "ndjson", overwrite=overwrite) as (stream, _):
        yield stream


def _changes(file: str | None) -> bytes:
    """The file of the changes; parsed when it is looked at."""
    if file is None:
        return b"{}"
    try:
        with Path(file).open("rb") as opened:
            body = opened.read(_MOST_CHANGES + 1)
    except OSError as error:
        raise UnusableError(f"cannot read {file}: {error.strerror or error}") from None
    if len(body) > _MOST_CHANGES:
        raise UnusableError(f"{file} has more than {_MOST_CHANGES} bytes")
    try:
        read_json(body)
    except MalformedJsonError as error:
        raise UnusableError(f"{file} is not JSON: {error}") from None
    return body


def _told(summary: Mapping[str, Any], output: str, beside: str | None) -> str:
    """What it came to, in a few lines for a person."""
    lines, refused = summary["lines"], summary["refused"]
    by_status = ", ".join(f"{count} {status}" for status, count in summary["by_status"].items()) or "none answered"
    told = [f"{lines} job{'s' * (lines != 1)}: {by_status}, {refused} rejected"]
    told += [f"  {count} {_CHANGED[kind]}" for kind, count in summary["by_change"].items()]
    if refused:
        told.append(f"rejected jobs are in {beside}" if beside else "--rejected FILE keeps what was rejected, and why")
    if output != STREAM:
        told.append(f"results are in {output}")
    return "".join(f"{line}\n" for line in told)
