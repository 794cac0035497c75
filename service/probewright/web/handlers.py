"""What each operation does; each method is named after its operation id."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import orjson
from flask import request
from werkzeug.exceptions import NotFound, RequestEntityTooLarge, UnsupportedMediaType

from probewright.batch.answering import (
    Batch,
    DiagnoseMany,
    Diagnoses,
    Reevaluating,
    Reevaluations,
    load_changes,
    one_by_one,
)
from probewright.batch.lines import Line, LineTooLongError, pieces
from probewright.intake import load_case, load_visit, pack_of, read_json
from probewright.packs.describe import describe
from probewright.packs.listings import families_document, packs_document
from probewright.packs.registry import LoadedPack, Registry
from probewright.settings import Settings
from probewright.web.problems import KINDS, not_ready, too_many_streams
from probewright.web.replies import JSON, LINES, NDJSON, Reply, reply, streamed
from probewright.web.streams import Streams, answered, arrivals, head
from probewright_schemas.batch_records import Changes
from probewright_schemas.dump import to_document
from probewright_schemas.records import Case, Diagnosis, ReadingsReport, ScoreReport
from probewright_schemas.visit_records import VisitPlan, VisitRequest


@dataclass(frozen=True, slots=True)
class Engine:
    """The pure functions that answer cases.

    Without ``diagnose_many`` the cases of a batch are asked about one by one; without ``reevaluator`` stored jobs are
    asked again by the engine that ships.
    """

    diagnose: Callable[[Case, LoadedPack, Settings], Diagnosis]
    check_readings: Callable[[Case, LoadedPack, Settings], ReadingsReport]
    score_readings: Callable[[Case, LoadedPack, Settings], ScoreReport]
    plan_visit: Callable[[VisitRequest, LoadedPack, Settings], VisitPlan]
    diagnose_many: DiagnoseMany | None = None
    reevaluator: Callable[[Changes, Registry, Settings], Reevaluating] | None = None

    @classmethod
    def real(cls) -> Engine:
        """The engine that ships."""
        from probewright import engine  # noqa: PLC0415  the web part alone can be tested without it

        return cls(
            engine.diagnose, engine.check_readings, engine.score_readings, engine.plan_visit, engine.diagnose_many
        )


class Handlers:
    """The operations on one registry."""

    def __init__(self, registry: Registry, settings: Settings, engine: Engine) -> None:
        self._registry, self._settings, self._engine = registry, settings, engine
        self._streams = Streams(settings.streams_at_once)
        # What a pack says never changes while it is loaded, so each is written once; there are as many as packs.
        self._described = cache(lambda family: orjson.dumps(describe(registry.get(family))))
        self._contract = cache(_contract)

    def diagnose(self) -> Reply:
        """POST /v1/diagnoses."""
        return self._answer(self._engine.diagnose)

    def check_readings(self) -> Reply:
        """POST /v1/readings/check."""
        return self._answer(self._engine.check_readings)

    def score_readings(self) -> Reply:
        """POST /v1/readings/score."""
        return self._answer(self._engine.score_readings)

    def plan_visit(self) -> Reply:
        """POST /v1/visit-plans."""
        request = load_visit(read_json(self._body()))
        return reply(to_document(self._engine.plan_visit(request, pack_of(request, self._registry), self._settings)))

    def diagnose_batch(self) -> Reply:
        """POST /v1/diagnoses/batch."""
        many = self._engine.diagnose_many or one_by_one(self._engine.diagnose)
        return self._stream(lambda lines: (Diagnoses(self._registry, self._settings, many), lines))

    def re_evaluate(self) -> Reply:
        """POST /v1/re-evaluations."""
        return self._stream(self._reevaluations)

    def _reevaluations(self, lines: Iterator[list[Line]]) -> tuple[Reevaluations, Iterator[list[Line]]]:
        first, rest = head(lines)
        if first.content is None:
            raise LineTooLongError(self._settings.max_body_bytes)
        changes = load_changes(read_json(first.content))
        make = self._engine.reevaluator or _reevaluator()
        return Reevaluations(make(changes, self._registry, self._settings)), rest

    def _stream(self, begin: Callable[[Iterator[list[Line]]], tuple[Batch[Any, Any], Iterator[list[Line]]]]) -> Reply:
        """Answer line by line, once what comes before the lines is understood."""
        _insist_on_lines()
        release = self._streams.admit()
        if release is None:
            return too_many_streams()
        try:
            most = self._settings.max_body_bytes
            batch, lines = begin(pieces(arrivals(request.environ), most))
            answer = streamed(answered(batch, lines, most))
        except BaseException:
            release()
            raise
        answer.call_on_close(release)
        return answer

    def _answer(self, ask: Callable[[Case, LoadedPack, Settings], Any]) -> Reply:
        case = load_case(read_json(self._body()))
        return reply(to_document(ask(case, pack_of(case, self._registry), self._settings)))

    def _body(self) -> bytes:
        _insist_on_json()
        body = request.get_data(cache=False)
        if len(body) > self._settings.max_body_bytes:
            raise RequestEntityTooLarge
        return body

    def list_families(self) -> Reply:
        """GET /v1/families."""
        return reply(families_document(self._registry))

    def get_family(self, family: str) -> Reply:
        """GET /v1/families/{family}."""
        return Reply(self._described(self._registry.get(family).family.id))

    def list_packs(self) -> Reply:
        """GET /v1/packs."""
        return reply(packs_document(self._registry))

    def get_problem_kind(self, code: str) -> Reply:
        """GET /v1/problems/{code}."""
        kind = KINDS.get(code)
        if kind is None:
            raise NotFound(f"No problem is called {code[:100]!r}.")
        return reply({"code": kind.code, "title": kind.title, "status": kind.status, "remedy": kind.remedy})

    def get_contract(self) -> Reply:
        """GET /openapi.json."""
        return Reply(self._contract())

    def check_live(self) -> Reply:
        """GET /health/live."""
        return reply({"status": "live"})

    def check_ready(self) -> Reply:
        """GET /health/ready."""
        if not self._registry.packs:
            return not_ready("No pack is loaded; GET /v1/packs says why.")
        return reply({"status": "ready", "families": list(self._registry.packs)})


def _insist_on_json() -> None:
    """Refuse a body of another type, or a compressed one, rather than guess."""
    if request.environ.get("CONTENT_TYPE") != JSON:
        mimetype = request.mimetype
        if mimetype != JSON and not (mimetype.startswith("application/") and mimetype.endswith("+json")):
            raise UnsupportedMediaType(f"The body is {mimetype or 'of no stated type'}; send {JSON}.")
    _refuse_compression()


def _insist_on_lines() -> None:
    mimetype = request.mimetype
    if mimetype not in LINES:
        raise UnsupportedMediaType(f"The body is {mimetype or 'of no stated type'}; send {NDJSON}.")
    _refuse_compression()


def _refuse_compression() -> None:
    if request.environ.get("HTTP_CONTENT_ENCODING", "identity") != "identity":
        raise UnsupportedMediaType("The body is compressed; send it as it is.")


def _reevaluator() -> Callable[[Changes, Registry, Settings], Reevaluating]:
    from probewright.batch.reevaluating import Reevaluator  # noqa: PLC0415  the web part alone can be tested without it

    return Reevaluator


def _contract() -> bytes:
    from probewright.web.contract import contract  # noqa: PLC0415  slow, and most processes never need it

    return orjson.dumps(contract())
