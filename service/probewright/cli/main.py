"""Arguments, exit codes, and one clear line for a mistake."""

from __future__ import annotations

import argparse
import logging
import os
import sys
from collections.abc import Sequence
from importlib.metadata import version

from probewright.cli import pack
from probewright.cli.arguments import case_count, cores, job_count, port, processes, seed, share, threads
from probewright.cli.common import Exit, add_loading
from probewright.errors import EngineError, InvalidCase, PackError, ProbewrightError, RequestError

# The arrays of one case are small: a second thread in the linear algebra would only get in the workers' way.  It reads
# this when numpy is imported, which is later.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_EPILOG = """\
exit codes: 0 answered; 1 answered, and it asks for attention (stop or refer comes next, a reading was rejected, a pack
was refused; of stored jobs: a hazard now shows, or a job was rejected); 2 usage, settings, a broken shop file or an
unreadable file; 3 the case or the changes break the contract; 4 no usable pack; 5 the service itself failed;
130 interrupted.
settings: environment variables PROBEWRIGHT_VERDICT_WITHIN, PROBEWRIGHT_VERDICT_OUTSIDE, PROBEWRIGHT_MISREAD_RATE,
PROBEWRIGHT_MAX_BODY_BYTES, PROBEWRIGHT_STRICT_PACKS, PROBEWRIGHT_SHOP_FILES.
"""
_CHANGES_EPILOG = """\
a run that was interrupted or killed goes on when the same command is given again.

changes, for example (from, to, when and the uncertainty may be left out; both days are included):
  {"corrections": [{"meter": "clamp-07", "kind": "current", "correction": {"gain": 1.064, "gain_uncertainty": 0.004},
                    "from": "2026-03-01", "to": "2026-08-28"}],
   "limits": [{"family": "gas_range", "test": "bake_igniter_current", "limits": {"low": 3.2, "high": 3.6, "unit": "A"},
               "when": {"igniter_style": "flat"}}]}
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; returns the exit code."""
    logging.basicConfig(level=logging.WARNING, format="probewright: %(message)s", stream=sys.stderr)
    given = parser().parse_args(arguments)
    try:
        code: int = given.run(given)
        sys.stdout.flush()
    except KeyboardInterrupt:
        return _say("interrupted", Exit.INTERRUPTED)
    except BrokenPipeError:
        # Whoever read us has gone; keep the interpreter from complaining once more when it flushes at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Exit.OK
    except ProbewrightError as error:
        return _say(_worded(error), _code(error))
    except Exception as error:  # a person at a terminal gets one line, and the traceback only when asked for
        if given.traceback:
            raise
        return _say(f"internal error: {type(error).__name__}: {error} (--traceback shows where)", Exit.FAILED)
    return code


def _code(error: ProbewrightError) -> Exit:
    kinds = ((RequestError, Exit.INVALID_CASE), (PackError, Exit.NO_PACK), (EngineError, Exit.FAILED))
    return next((code for kind, code in kinds if isinstance(error, kind)), Exit.USAGE)


def _worded(error: ProbewrightError) -> str:
    if not isinstance(error, InvalidCase):
        return str(error)
    count = len(error.faults)
    return f"the case has {count} fault{'s' * (count != 1)}: {error}"


def _say(message: str, code: Exit) -> int:
    printable = "".join(c if c.isprintable() else " " for c in message)
    sys.stderr.write(f"probewright: {printable}\n")
    return code


def parser() -> argparse.ArgumentParser:
    """The command line's grammar."""
    top = argparse.ArgumentParser(
        prog="probewright",
        description="Diagnoses household appliances from complaints and readings.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"probewright {version('probewright')}")
    top.add_argument("--traceback", action="store_true", help="show where the service itself failed")
    commands = top.add_subparsers(required=True, metavar="COMMAND")
    _add_case_command(commands, "diagnose", _diagnose, "answer a case: readings, faults, next step")
    _add_case_command(commands, "check", _check, "check a case's readings, and infer nothing")
    told = "plan a visit beforehand: questions, parts, instruments, minutes, order of the work"
    _add_case_command(commands, "visit-plan", _visit_plan, told)
    _add_listing(commands, "families", _families, "list the appliance families")
    _add_listing(commands, "packs", _packs, "list the packs that were loaded and refused")
    _add_reevaluate(commands)
    _add_simulate(commands)
    _add_draw(commands)
    pack.add(commands)
    _add_serve(commands)
    told = "compile what the first case would wait for; once after installing is enough"
    warm = commands.add_parser("warm-up", help=told, description=f"{told[0].upper()}{told[1:]}.")
    add_loading(warm)
    warm.set_defaults(run=_warm_up)
    return top


_Commands = argparse._SubParsersAction


def _add_case_command(commands: _Commands[argparse.ArgumentParser], name: str, run: object, help_text: str) -> None:
    command = _add_listing(commands, name, run, help_text)
    command.add_argument("file", metavar="FILE", help="a case in JSON; - for standard input")


def _add_listing(
    commands: _Commands[argparse.ArgumentParser], name: str, run: object, help_text: str
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=help_text, description=f"{help_text[0].upper()}{help_text[1:]}.")
    command.add_argument("--json", action="store_true", help="print the document that the web service would send")
    add_loading(command)
    command.set_defaults(run=run)
    return command


def _add_serve(commands: _Commands[argparse.ArgumentParser]) -> None:
    serve = commands.add_parser("serve", help="serve HTTP", description="Serve HTTP under gunicorn.")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (%(default)s)")
    serve.add_argument("--port", type=port, default=8080, help="port to listen on; 0 for a free one (%(default)s)")
    serve.add_argument("--workers", type=processes, default=2, help="processes that answer (%(default)s)")
    told = "threads of each, half of them for streams (%(default)s)"
    serve.add_argument("--threads", type=threads, default=4, help=told)
    add_loading(serve)
    serve.set_defaults(run=_serve)


def _add_simulate(commands: _Commands[argparse.ArgumentParser]) -> None:
    told = "play whole jobs against a hidden truth: the planner beside a checklist and the like"
    command = _add_listing(commands, "simulate-visits", _simulate, told)
    command.add_argument("family", metavar="FAMILY", help="an appliance family, as `probewright families` lists them")
    command.add_argument("--jobs", type=job_count, default=200, help="how many jobs (%(default)s)")
    command.add_argument("--seed", type=seed, default=0, help="the same seed gives the same result (%(default)s)")
    command.add_argument("--perturb", action="store_true", help="in worlds whose numbers differ from the pack's")
    command.add_argument("--policies", type=_names, default=None, help="some ways of working only, with commas")
    command.add_argument("--effort", choices=("quick", "thorough"), default="quick", help="the planner's (%(default)s)")
    on_van = "parts on the van, with commas, or `planned` (the shop's van, or else all)"
    command.add_argument("--parts", type=_names, default=None, help=on_van)
    command.add_argument("--workers", type=processes, default=1, help="processes that play (%(default)s)")
    command.add_argument("--plot", metavar="FILE.png", help="also write a picture; needs matplotlib")


def _add_draw(commands: _Commands[argparse.ArgumentParser]) -> None:
    told = "draw invented cases with what was truly wrong, to try batches and re-evaluation on"
    command = commands.add_parser("simulate", help=told, description=f"{told[0].upper()}{told[1:]}.")
    command.add_argument("family", metavar="FAMILY", help="an appliance family, as `probewright families` lists them")
    command.add_argument("--cases", type=case_count, default=1000, help="how many cases (%(default)s)")
    command.add_argument("--seed", type=seed, default=0, help="the same seed gives the same cases (%(default)s)")
    told = "with what the service answers today: whole, or only what re-evaluation reads (whole where not said)"
    command.add_argument("--answers", nargs="?", choices=("full", "brief"), const="full", help=told)
    told = "what the cases say how far to go, which their answers do (%(default)s)"
    command.add_argument("--effort", choices=("none", "quick", "thorough"), default="none", help=told)
    told = "share of readings that are misread (the deployment's PROBEWRIGHT_MISREAD_RATE)"
    command.add_argument("--misread", type=share, metavar="SHARE", help=told)
    told = "where to: NDJSON, CSV or Parquet by its ending, .gz and .zst too (standard output, NDJSON)"
    command.add_argument("--output", default="-", metavar="FILE", help=told)
    command.add_argument("--force", action="store_true", help="replace a file that is there")
    command.add_argument("--workers", type=processes, default=1, help="processes that draw (%(default)s)")
    add_loading(command)
    command.set_defaults(run=_draw)


def _add_reevaluate(commands: _Commands[argparse.ArgumentParser]) -> None:
    told = "ask stored jobs again: with corrected meters, other limits, or the packs as they are now"
    command = commands.add_parser(
        "re-evaluate", help=told, description=f"{told[0].upper()}{told[1:]}.", epilog=_CHANGES_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    inputs = "files of stored jobs (NDJSON, CSV or Parquet, .gz and .zst too), folders, glob patterns, or -"
    command.add_argument("input", metavar="INPUT", nargs="+", help=inputs)
    command.add_argument("--output", metavar="OUT", required=True, help="where the results go, by its ending; or -")
    command.add_argument("--changes", metavar="FILE.json", help="corrections of meters and replaced limits")
    command.add_argument("--format", metavar="NAME", help="of the input, whatever its ending: ndjson, csv, parquet")
    command.add_argument("--rejected", metavar="FILE", help="where jobs go that had no answer (OUT.rejected.ndjson)")
    command.add_argument("--summary", metavar="FILE.json", help="also write the counts")
    command.add_argument("--report", metavar="FILE.html", help="also write a page for people")
    command.add_argument("--answers", action="store_true", help="give the new answers in whole, to be stored")
    command.add_argument("--effort", choices=("none", "quick", "thorough"), help="in place of the cases' own")
    command.add_argument("--recompute", action="store_true", help="also what is known to be the same computation")
    command.add_argument("--workers", type=processes, default=cores(), help="processes that work (%(default)s)")
    command.add_argument("--dask", metavar="ADDRESS", help="work in a Dask cluster instead, by its scheduler's address")
    command.add_argument("--restart", action="store_true", help="begin anew, whatever an earlier run has done")
    command.add_argument("--force", action="store_true", help="write over outputs that are there")
    command.add_argument("--quiet", action="store_true", help="tell nothing but mistakes")
    add_loading(command)
    command.set_defaults(run=_reevaluate)


def _names(text: str) -> tuple[str, ...]:
    return tuple(name for name in text.split(",") if name)


# Each command is imported when it runs: `families` must not wait for the web server, nor `--help` for anything.


def _diagnose(given: argparse.Namespace) -> int:
    from probewright.cli.cases import diagnose  # noqa: PLC0415  loads the engine

    return diagnose(given.file, as_json=given.json, strict=given.strict, shop=given.shop)


def _check(given: argparse.Namespace) -> int:
    from probewright.cli.cases import check  # noqa: PLC0415  loads the engine

    return check(given.file, as_json=given.json, strict=given.strict, shop=given.shop)


def _visit_plan(given: argparse.Namespace) -> int:
    from probewright.cli.cases import visit_plan  # noqa: PLC0415  loads the engine

    return visit_plan(given.file, as_json=given.json, strict=given.strict, shop=given.shop)


def _families(given: argparse.Namespace) -> int:
    from probewright.cli.listings import families  # noqa: PLC0415  loads the packs

    return families(as_json=given.json, strict=given.strict, shop=given.shop)


def _packs(given: argparse.Namespace) -> int:
    from probewright.cli.listings import packs  # noqa: PLC0415  loads the packs

    return packs(as_json=given.json, strict=given.strict, shop=given.shop)


def _serve(given: argparse.Namespace) -> int:
    from probewright.cli.serve import serve  # noqa: PLC0415  loads the web server

    return serve(given.host, given.port, given.workers, given.threads, strict=given.strict, shop=given.shop)


def _warm_up(given: argparse.Namespace) -> int:
    from probewright.cli.warming import warm_up  # noqa: PLC0415  loads the engine

    return warm_up(strict=given.strict, shop=given.shop)


def _reevaluate(given: argparse.Namespace) -> int:
    from probewright.cli.reevaluating import reevaluate  # noqa: PLC0415  loads the engine

    return reevaluate(given)


def _simulate(given: argparse.Namespace) -> int:
    from probewright.cli.simulating import simulate_visits  # noqa: PLC0415  loads the engine
    from probewright.simulation import POLICIES, Plan  # noqa: PLC0415  likewise

    policies = POLICIES if given.policies is None else given.policies
    plan = Plan(given.jobs, given.seed, given.perturb, policies, given.effort, given.parts, forecasts=True)
    return simulate_visits(
        given.family, plan, given.workers, given.plot, as_json=given.json, strict=given.strict, shop=given.shop
    )


def _draw(given: argparse.Namespace) -> int:
    from probewright.cli.drawing import simulate_cases  # noqa: PLC0415  loads the engine
    from probewright.simulation.sample import Sample  # noqa: PLC0415  likewise

    sample = Sample(given.cases, given.seed, given.answers, given.effort, given.misread)
    return simulate_cases(
        given.family, sample, given.workers, given.output, force=given.force, strict=given.strict,
        shop=given.shop,
    )  # fmt: skip
