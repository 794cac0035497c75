"""``probewright diagnose``, ``probewright check`` and ``probewright visit-plan``."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from probewright import engine
from probewright.cli.common import Exit, UnusableError, show
from probewright.cli.loading import prepared
from probewright.intake import MalformedJsonError, load_case, load_visit, pack_of, read_json
from probewright.packs.registry import LoadedPack, Registry
from probewright.render import render_diagnosis, render_readings, render_visit
from probewright.settings import Settings
from probewright_schemas.dump import to_document
from probewright_schemas.records import Case


def diagnose(file: str, *, as_json: bool, strict: bool, shop: Sequence[str] = ()) -> int:
    """Answer a case; the exit code says whether to go on."""
    case, pack, settings = _prepared(file, strict, shop)
    result = engine.diagnose(case, pack, settings)
    show(to_document(result), as_json, render_diagnosis)
    halted = result.next is not None and result.next.kind in ("stop", "refer")
    return Exit.ATTENTION if halted else Exit.OK


def check(file: str, *, as_json: bool, strict: bool, shop: Sequence[str] = ()) -> int:
    """Check a case's readings; the exit code says whether one was rejected."""
    case, pack, settings = _prepared(file, strict, shop)
    result = engine.check_readings(case, pack, settings)
    show(to_document(result), as_json, render_readings)
    return Exit.ATTENTION if any(r.verdict == "rejected" for r in result.readings) else Exit.OK


def visit_plan(file: str, *, as_json: bool, strict: bool, shop: Sequence[str] = ()) -> int:
    """Plan a visit; the exit code says whether a hazard stops everything."""
    document, registry, settings = _parsed(file, strict, shop)
    request = load_visit(document)
    result = engine.plan_visit(request, pack_of(request, registry), settings)
    show(to_document(result), as_json, render_visit)
    return Exit.ATTENTION if result.stop is not None else Exit.OK


def _prepared(file: str, strict: bool, shop: Sequence[str]) -> tuple[Case, LoadedPack, Settings]:
    document, registry, settings = _parsed(file, strict, shop)
    case = load_case(document)
    return case, pack_of(case, registry), settings


def _parsed(file: str, strict: bool, shop: Sequence[str]) -> tuple[object, Registry, Settings]:
    registry, settings = prepared(strict, shop)
    body = _read(file, settings.max_body_bytes)
    try:
        return read_json(body), registry, settings
    except MalformedJsonError as error:
        raise UnusableError(f"{_named(file)} is not JSON: {error}") from None


def _read(file: str, most: int) -> bytes:
    """The bytes of a file or of standard input, up to the same size as over HTTP."""
    try:
        if file == "-":
            body = sys.stdin.buffer.read(most + 1)
        else:
            with Path(file).open("rb") as opened:
                body = opened.read(most + 1)
    except OSError as error:
        raise UnusableError(f"cannot read {_named(file)}: {error.strerror or error}") from None
    if len(body) > most:
        raise UnusableError(f"{_named(file)} has more than {most} bytes; PROBEWRIGHT_MAX_BODY_BYTES sets the limit")
    return body


def _named(file: str) -> str:
    return "standard input" if file == "-" else file
