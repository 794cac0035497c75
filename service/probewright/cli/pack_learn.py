"""``probewright pack learn``."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from math import isfinite
from pathlib import Path
from typing import IO, TYPE_CHECKING

from probewright.cli.arguments import new_file, seed
from probewright.cli.common import Exit, UnusableError, add_loading, show
from probewright.errors import RequestError

if TYPE_CHECKING:
    from probewright.learning import BadLine

_TOLD = "learn fault rates and outcome tables from closed jobs, and say whether that forecasts better"
_EPILOG = """\
FILE holds one closed job on each line: {"case": {...}, "proven": ["fault"], "closed": "2026-08-30"}. proven is [] where
nothing was wrong, and ["unknown"] where it was something that the pack does not know. Record every job, the ones that
were handed on as well: left out, their faults would seem to vanish.
exit codes: 0 learned; 1 learned, and the held-back jobs are forecast worse; 2 usage, or a file that cannot be read or
written; 3 bad lines, or too few jobs.
"""
#: Bad lines that are told one by one.
_MOST_TOLD = 20
_LAYER = re.compile(r"[a-z][a-z0-9_]{0,98}", re.ASCII)


class BadLinesError(RequestError):
    """Some lines are no closed jobs."""

    code = "bad_lines"


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Describe the command."""
    command = commands.add_parser(
        "learn", help=_TOLD, description=f"{_TOLD[0].upper()}{_TOLD[1:]}.", epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    command.add_argument("family", metavar="NAME", help="an appliance family, as `probewright families` lists them")
    command.add_argument("file", metavar="FILE", help="closed jobs, one JSON object a line; - for standard input")
    command.add_argument("--out", metavar="FILE.toml", help="write a shop's file; without it nothing is kept")
    command.add_argument("--force", action="store_true", help="write over a file that is there")
    command.add_argument("--skip-bad", action="store_true", help="learn without bad lines, where there are some")
    command.add_argument("--layer", type=_layer, default="closed_jobs", help="name of the layer (%(default)s)")
    command.add_argument("--prior-weight", type=_weight, default=None, metavar="JOBS",
                         help="how many jobs the pack's rates are worth (100)")  # fmt: skip
    command.add_argument("--row-weight", type=_weight, default=None, metavar="LOOKS",
                         help="how many looks each of the pack's rows of outcomes is worth (10)")  # fmt: skip
    command.add_argument("--hold-back", type=_share, default=None, metavar="SHARE",
                         help="share of the jobs, the last ones, held back to try the result on (0.25)")  # fmt: skip
    command.add_argument("--seed", type=seed, default=0, help="of what a perfect forecaster would score (%(default)s)")
    command.add_argument("--json", action="store_true", help="print a document")
    add_loading(command)
    command.set_defaults(run=_run)


def _layer(text: str) -> str:
    if not _LAYER.fullmatch(text):
        raise argparse.ArgumentTypeError(f"must be a name like north_street, not {text!r}")
    return text


def _number(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = float("nan")
    if not isfinite(number):
        raise argparse.ArgumentTypeError(f"must be a number, not {text!r}")
    return number


def _weight(text: str) -> float:
    number = _number(text)
    if not 1 <= number <= 1e6:
        raise argparse.ArgumentTypeError(f"must lie from 1 to 1000000, not {text!r}")
    return number


def _share(text: str) -> float:
    number = _number(text)
    if not 0 < number < 1:
        raise argparse.ArgumentTypeError(f"must lie between 0 and 1, not {text!r}")
    return number


def _run(given: argparse.Namespace) -> int:
    from probewright.cli.loading import prepared  # noqa: PLC0415  loads the packs
    from probewright.learning import Plan, document, learn, read_jobs, shop_toml, text  # noqa: PLC0415  loads the engine
    from probewright.packs.overlay import RESERVED_LAYERS  # noqa: PLC0415  likewise

    out = None if given.out is None else _out(given.out, force=given.force)
    registry, settings = prepared(given.strict, given.shop)
    pack = registry.get(given.family)
    if given.layer in RESERVED_LAYERS:
        raise UnusableError(f"--layer {given.layer}: the name is reserved")
    if any(layer.name == given.layer for layer in pack.layers):
        why = "jobs that it was learned from would count twice; learn without it, or name another --layer"
        raise UnusableError(f"layer {given.layer!r} lies over {given.family} already: {why}")
    with _opened(given.file) as lines:
        read = read_jobs(lines, pack.family)
    if read.bad:
        _tell(read.bad, skip=given.skip_bad)
    asked = {name: getattr(given, name) for name in ("prior_weight", "row_weight", "hold_back")}
    plan = Plan(seed=given.seed, layer=given.layer, **{name: n for name, n in asked.items() if n is not None})
    learned = learn(pack, settings, read.jobs, plan)
    told = document(pack, plan, learned, read.bad)
    if out is not None:
        _write(out, shop_toml(pack, learned), force=given.force)
    show(told, given.json, text)
    if out is not None and not given.json:
        sys.stdout.write(f"\nWritten to {out}: use it with --shop {out}\n")
    return Exit.ATTENTION if learned.trial.verdict == "worse" else Exit.OK


def _tell(bad: tuple[BadLine, ...], *, skip: bool) -> None:
    """Tell bad lines on standard error; they are the end of it, unless they are to be skipped."""
    for one in bad[:_MOST_TOLD]:
        printable = "".join(c if c.isprintable() else " " for c in one.reason)
        sys.stderr.write(f"line {one.line}: {printable}\n")
    more = len(bad) - _MOST_TOLD
    if more > 0:
        sys.stderr.write(f"and {more} more\n")
    if not skip:
        raise BadLinesError(f"{len(bad)} bad line{'s' * (len(bad) != 1)}; mend them, or learn without with --skip-bad")


@contextmanager
def _opened(file: str) -> Iterator[IO[bytes]]:
    if file == "-":
        yield sys.stdin.buffer
        return
    with ExitStack() as stack:
        try:
            stream = stack.enter_context(Path(file).open("rb"))
        except OSError as error:
            raise UnusableError(f"cannot read {file}: {error.strerror or error}") from None
        yield stream


def _out(file: str, *, force: bool) -> Path:
    """Where the shop's file goes; fails before the work and not after it."""
    out = new_file(file)
    if out.exists() and not force:
        raise UnusableError(f"{out} is there already; --force writes over it")
    return out


def _write(out: Path, content: str, *, force: bool) -> None:
    try:
        with out.open("w" if force else "x", encoding="utf-8", newline="\n") as stream:
            stream.write(content)
    except OSError as error:
        raise UnusableError(f"cannot write {out}: {error.strerror or error}") from None
