"""``probewright pack check``."""

from __future__ import annotations

import argparse
import logging
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import TYPE_CHECKING, Any

from probewright.cli.arguments import check_plots, job_count, new_file, processes, seed
from probewright.cli.common import Exit, UnusableError, show
from probewright.errors import PackError, said

if TYPE_CHECKING:
    from probewright.packs.registry import LoadedPack, Refusal, Registry
    from probewright.review.findings import Verdict
    from probewright.settings import Settings

_TOLD = "review a pack: its records, its wiring, what it can tell apart, and how well it does on simulated jobs"
_EPILOG = """\
NAME is a family, or the name of an entry point in the group probewright.packs, so that a pack which was refused can be
reviewed as well. A pack that is not installed yet is named by its module: --module my_pack, or --module my_pack.py.
A family may say in `accepted` which warnings it stands by, each with its reason.
exit codes: 0 clean, notes aside; 1 warnings; 2 usage; 4 errors: the pack cannot be used; 5 the review itself failed.
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Describe the command."""
    command = commands.add_parser(
        "check", help=_TOLD, description=f"{_TOLD[0].upper()}{_TOLD[1:]}.", epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    command.add_argument("name", metavar="NAME", nargs="?", help="a family, or the entry point of an installed pack")
    command.add_argument("--module", metavar="MODULE", help="a pack that is not installed: package.module, or a file")
    command.add_argument("--jobs", type=job_count, default=200, help="simulated jobs in each world (%(default)s)")
    command.add_argument("--seed", type=seed, default=0, help="the same seed gives the same result (%(default)s)")
    command.add_argument("--workers", type=processes, default=1, help="processes that play (%(default)s)")
    command.add_argument("--no-simulation", action="store_true", help="review only, and play no jobs")
    command.add_argument("--json", action="store_true", help="print a document")
    command.add_argument("--html", metavar="FILE", help="also write a page with plots")
    told = "lay a shop's own numbers over the pack first; may be given several times"
    command.add_argument("--shop", metavar="FILE.toml", action="append", default=[], help=told)
    command.set_defaults(run=_run)


def _run(given: argparse.Namespace) -> int:
    """Review, play, tell; the exit code says what was found."""
    from probewright.review.document import review_document  # noqa: PLC0415  loads the engine
    from probewright.review.findings import review_pack, review_refusal  # noqa: PLC0415  likewise
    from probewright.review.text import review_text  # noqa: PLC0415  likewise
    from probewright.settings import Settings  # noqa: PLC0415  likewise

    if (given.name is None) == (given.module is None):
        raise UnusableError("name a family or an entry point, or a pack that is not installed with --module")
    page = _page(given.html)
    settings = Settings.from_environment(os.environ)
    name, found = _found(given, settings)
    if isinstance(found, tuple):
        review, pack = review_refusal(found[0]), None
    else:
        review, pack = review_pack(found, settings), found
    quality = None
    if pack is not None and review.verdict != "errors" and not given.no_simulation:
        try:
            quality = _quality(pack, settings, given)
        except Exception as error:  # laws and hooks are foreign code, and the findings are told all the same
            if given.traceback:
                raise
            told_as = str(error) if isinstance(error, PackError) else f"{said(error)} (--traceback shows where)"
            review = review.with_error("cannot_be_simulated", f"pack {pack.entry_point}", told_as)
    told = review_document(name, pack, review, quality)
    show(told, given.json, review_text)
    if page is not None:
        _write_page(told, page)
    return _exit(review.verdict)


def _exit(verdict: Verdict) -> Exit:
    return {"clean": Exit.OK, "warnings": Exit.ATTENTION, "errors": Exit.NO_PACK}[verdict]


def _found(given: argparse.Namespace, settings: Settings) -> tuple[str, LoadedPack | tuple[Refusal]]:
    """What was named: a loaded pack, or (in a tuple) why it was refused.

    The files of the setting are for the packs that are installed; a module alone is reviewed with those of the command.
    """
    from probewright.packs.loader import GROUP, survey, with_shop_files  # noqa: PLC0415  loads numpy

    name, module = (given.name, None) if given.module is None else _module(given.module)
    entry_points = None if module is None else [EntryPoint(name, module, GROUP)]
    with _without_log("probewright.packs.loader"):
        registry = survey(entry_points=entry_points)
    found = _named(name, registry)
    if not isinstance(found, tuple):  # nothing can be laid over a pack that was refused
        shop_files = given.shop if module is not None else (*settings.shop_files, *given.shop)
        found = _named(name, with_shop_files(registry, shop_files))
    return given.module or name, found


@contextmanager
def _without_log(name: str) -> Iterator[None]:
    """Without the log's line for each pack that is refused: the review tells it better, of the one that it is about."""
    log = logging.getLogger(name)
    before, log.disabled = log.disabled, True
    try:
        yield
    finally:
        log.disabled = before


def _module(text: str) -> tuple[str, str]:
    """The name of a module, after its folder was put where imports look first."""
    path = Path(text)
    if path.name == "__init__.py":
        path = path.parent
    if path.suffix == ".py" or path.is_dir():
        if not path.exists():
            raise UnusableError(f"there is no file {text}")
        sys.path.insert(0, str(path.resolve().parent))
        return path.stem, path.stem
    sys.path.insert(0, str(Path.cwd()))
    if not all(part.isidentifier() for part in text.split(".")):
        raise UnusableError(f"{text!r} is neither a module nor a file")
    return text.rpartition(".")[2], text


def _named(name: str, registry: Registry) -> LoadedPack | tuple[Refusal]:
    from probewright_schemas.suggest import did_you_mean  # noqa: PLC0415  only for a mistake

    loaded = {pack.entry_point: pack for pack in registry.packs.values()} | dict(registry.packs)
    if name in loaded:
        return loaded[name]
    refused = {refusal.entry_point: refusal for refusal in registry.refused}
    if name in refused:
        return (refused[name],)
    known = sorted({*loaded, *refused})
    overlaying = {layer.entry_point: layer.families for layer in registry.layers}
    if name in overlaying:
        over = ", ".join(overlaying[name])
        raise UnusableError(f"pack {name!r} registers no family: it lies over {over}, which is checked with it")
    raise UnusableError(f"no pack {name!r}{did_you_mean(name, known)}; known: {', '.join(known) or 'none'}")


def _quality(pack: LoadedPack, settings: Settings, given: argparse.Namespace) -> dict[str, Any]:
    """Jobs in the pack's own world, and in worlds whose numbers differ."""
    from probewright.review.quality import measure, quality_document  # noqa: PLC0415  loads the simulation

    worlds = [
        measure(pack, settings, given.jobs, given.seed, given.workers, perturb=perturb) for perturb in (False, True)
    ]
    return quality_document(pack, settings, worlds)


def _page(html: str | None) -> Path | None:
    """Where the page goes; fails before the work and not after it."""
    if html is None:
        return None
    page = new_file(html)
    check_plots("--html")
    return page


def _write_page(told: dict[str, Any], page: Path) -> None:
    from probewright.review.page import page_html  # noqa: PLC0415  matplotlib is loaded only for a page

    text = page_html(told)
    try:
        page.write_text(text, encoding="utf-8")
    except OSError as error:
        raise UnusableError(f"cannot write {page}: {error.strerror or error}") from error
