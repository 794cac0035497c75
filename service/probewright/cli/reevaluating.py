"""``probewright re-evaluate``."""

from __future__ import annotations

import argparse
import hashlib
import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from typing import Any

import orjson

from probewright.batch.files import check_output, find_sources, read_sources, write_results
from probewright.batch.files.outputs import whole_file
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
from probewright.intake import MalformedJsonError, read_json
from probewright.packs.registry import Registry
from probewright.settings import Settings

STREAM = "-"
#: Bytes of a file of changes.
_MOST_CHANGES = 8_388_608


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
        self.ready: Ready = ready(self.asked, self.registry)
        self.tally = Tally()

    def go(self) -> int:
        """Ask all jobs again, and write what became of them."""
        given = self.given
        sources = find_sources(given.input, given.format)
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
            sys.stderr.write(_told(summary, given.output))
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
                rejected = stack.enter_context(whole_file(self.given.rejected, overwrite=self.given.force))
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
        given = self.given
        if given.rejected is not None or rejected.stat().st_size:
            beside = given.rejected or f"{given.output}.rejected.ndjson"
            with whole_file(beside, overwrite=True) as to, rejected.open("rb") as lines:
                for line in lines:
                    to.write(line)
        self._write_reports()
        write_results(self._lines(part), given.output, overwrite=True)

    def _lines(self, part: Path) -> Iterator[Mapping[str, Any] | bytes]:
        with part.open("rb") as lines:
            yield from lines
        yield {"summary": self.tally.document()}

    def _write_reports(self) -> None:
        given = self.given
        if given.summary is not None:
            with whole_file(given.summary, overwrite=True) as to:
                to.write(orjson.dumps(self.tally.document(), option=orjson.OPT_INDENT_2) + b"\n")
        if given.report is not None:
            families = [pack.family for pack in self.registry.packs.values()]
            about = About.of(self.asked.load_changes(), families, inputs=tuple(given.input))
            with whole_file(given.report, overwrite=True) as to:
                to.write(report_page(self.tally.to_json(), about).encode())


def reevaluate(given: argparse.Namespace) -> int:
    """Ask stored jobs again; the exit code says whether a hazard now shows or a line was rejected."""
    _check_outputs(given)
    return _Run(given).go()


def _check_outputs(given: argparse.Namespace) -> None:
    """Refuse before the work and not after it."""
    # What an earlier run of the same command left may be finished whatever is there.
    overwrite = given.force or (given.output != STREAM and begun(Path(given.output)))
    check_output(given.output, overwrite=overwrite)
    for path in (given.rejected, given.summary, given.report):
        if path == STREAM:
            raise UnusableError("only the results can go to standard output; name a file for the others")
        if path is not None:
            check_output(path, "ndjson", overwrite=overwrite)
    named = [path for path in (given.output, given.rejected, given.summary, given.report) if path is not None]
    if len({os.path.realpath(path) for path in named}) < len(named):
        raise UnusableError("two outputs have the same name")
    if given.output == STREAM and given.restart:
        raise UnusableError("--restart is for an output that is a file: standard output keeps nothing to go on from")


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


def _told(summary: Mapping[str, Any], output: str) -> str:
    """What it came to, in a few lines for a person."""
    lines = [f"{summary['lines']} jobs: {_counts(summary['by_status'])}; {summary['refused']} rejected"]
    if summary["by_change"]:
        lines.append(f"changed: {_counts(summary['by_change'])}")
    if output != STREAM:
        lines.append(f"written to {output}")
    return "".join(f"{line}\n" for line in lines)


def _counts(counts: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in counts.items()) or "none answered"
