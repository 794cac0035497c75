"""The routes, once: the application serves them and the contract describes them."""

from __future__ import annotations

from dataclasses import dataclass

from marshmallow import Schema

from probewright_schemas.batch import BatchLineSchema, ChangesSchema, ReevaluationLineSchema, StoredJobSchema
from probewright_schemas.case import CaseSchema
from probewright_schemas.family import FamilySchema
from probewright_schemas.packs import FamilyListSchema, PackListSchema
from probewright_schemas.problem import LiveSchema, ProblemKindSchema, ReadySchema
from probewright_schemas.results import DiagnosisSchema, ReadingsReportSchema, ScoreReportSchema
from probewright_schemas.visit import VisitPlanSchema, VisitRequestSchema


@dataclass(frozen=True, slots=True)
class Parameter:
    """A part of a path."""

    name: str
    description: str
    example: str


@dataclass(frozen=True, slots=True)
class Route:
    """One operation.

    ``answer`` is the schema of the reply with status 200, None for the contract itself.  ``problems`` lists the codes
    of those that only some operations have.  Of a ``streamed`` operation ``body`` and ``answer`` are of one line;
    ``first`` is the schema of a first line that is different.
    """

    method: str
    path: str
    operation_id: str
    tag: str
    summary: str
    description: str
    answer: type[Schema] | None
    body: type[Schema] | None = None
    parameters: tuple[Parameter, ...] = ()
    problems: tuple[str, ...] = ()
    streamed: bool = False
    first: type[Schema] | None = None


_BODY_PROBLEMS = ("malformed_json", "body_too_large", "unsupported_media_type", "invalid_case")
_LINE_PROBLEMS = ("malformed_json", "line_too_long", "unsupported_media_type", "invalid_case", "too_many_streams")
_AS_IT_GOES = (
    "One JSON object a line, both ways. Lines are answered in their order and as they come in; a line that cannot be "
    "answered gets a problem in its place, and the rest go on. Empty lines are counted and left out. The last line is "
    "the summary: a stream without it was cut off, and may be sent again."
)

ROUTES: tuple[Route, ...] = (
    Route(
        "POST", "/v1/diagnoses", "diagnose", "cases",
        "Diagnose a case",
        "Checks the readings, ranks the faults with what each piece of evidence did, and names the next safe step.",
        DiagnosisSchema, CaseSchema, problems=_BODY_PROBLEMS,
    ),
    Route(
        "POST", "/v1/diagnoses/batch", "diagnose_batch", "cases",
        "Diagnose many cases",
        f"What `POST /v1/diagnoses` answers, for a case in each line. {_AS_IT_GOES}",
        BatchLineSchema, CaseSchema, problems=_LINE_PROBLEMS, streamed=True,
    ),
    Route(
        "POST", "/v1/re-evaluations", "re_evaluate", "cases",
        "Ask stored cases again",
        "When a meter, a limit or a model turned out wrong: the first line says what is different, and may be `{}`; "
        "every further line is a stored case with the answer that it was given then, if any. Each is answered with "
        f"what changed and why. {_AS_IT_GOES}",
        ReevaluationLineSchema, StoredJobSchema, problems=_LINE_PROBLEMS, streamed=True, first=ChangesSchema,
    ),
    Route(
        "POST", "/v1/readings/check", "check_readings", "cases",
        "Check a case's readings",
        "Only judges the readings: units, meters, states, expected bands. Infers nothing.",
        ReadingsReportSchema, CaseSchema, problems=_BODY_PROBLEMS,
    ),
    Route(
        "POST", "/v1/readings/score", "score_readings", "cases",
        "Score a case's readings",
        "Log-likelihoods of each reading under each fault, for systems that reason themselves.",
        ScoreReportSchema, CaseSchema, problems=_BODY_PROBLEMS,
    ),
    Route(
        "POST", "/v1/visit-plans", "plan_visit", "cases",
        "Plan a visit beforehand",
        "From a complaint on the telephone: what to ask the customer, parts to carry under a budget or a count, "
        "instruments and skills, minutes, the order of the work, and the probability of ending at this visit.",
        VisitPlanSchema, VisitRequestSchema, problems=_BODY_PROBLEMS,
    ),
    Route(
        "GET", "/v1/families", "list_families", "models",
        "List the appliance families",
        "The families that cases may be about.",
        FamilyListSchema,
    ),
    Route(
        "GET", "/v1/families/{family}", "get_family", "models",
        "Describe an appliance family",
        "Everything its pack says, each number with its basis: options, states, zones, functions, complaints, tests, "
        "faults, repairs, parts, hazards and wiring.",
        FamilySchema, parameters=(Parameter("family", "The family's id.", "gas_range"),), problems=("unknown_family",),
    ),
    Route(
        "GET", "/v1/packs", "list_packs", "models",
        "List the packs",
        "Those that were loaded when the service started, and those that were refused, with the reasons.",
        PackListSchema,
    ),
    Route(
        "GET", "/v1/problems/{code}", "get_problem_kind", "service",
        "Explain a kind of problem",
        "What the `type` of a problem means, and what to do about it.",
        ProblemKindSchema, parameters=(Parameter("code", "The problem's code.", "invalid_case"),),
        problems=("not_found",),
    ),
    Route(
        "GET", "/openapi.json", "get_contract", "service",
        "Fetch this contract",
        "This document.",
        None,
    ),
    Route(
        "GET", "/health/live", "check_live", "service",
        "Ask whether the process answers",
        "For a supervisor that restarts what does not.",
        LiveSchema,
    ),
    Route(
        "GET", "/health/ready", "check_ready", "service",
        "Ask whether the service can diagnose",
        "For a balancer that sends requests only where they can be answered.",
        ReadySchema, problems=("not_ready",),
    ),
)  # fmt: skip
