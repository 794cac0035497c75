"""The published contract, OpenAPI 3.1, made from the schemas and the routes.

``python -m probewright.web.contract [--check] [PATH]`` writes it, or says whether the file is what would be written.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from marshmallow import Schema

from probewright.web.example import EXAMPLE_CASE, EXAMPLE_CASES, EXAMPLE_JOBS, EXAMPLE_VISIT
from probewright.web.problems import KINDS, Kind
from probewright.web.replies import JSON, NDJSON, PROBLEM
from probewright.web.routes import ROUTES, Parameter, Route
from probewright_schemas.base import RecordSchema
from probewright_schemas.problem import ProblemSchema
from probewright_schemas.visit import VisitRequestSchema

VERSION = "1.0.0"
DEFAULT_PATH = "openapi/probewright.json"

Document = dict[str, Any]

_DESCRIPTION = (
    "Stateless diagnostics for household appliances: a complaint and readings in; checked readings, fault "
    "probabilities with the reasons, and the next safe step out. Answers may gain members within a major version; "
    "none is renamed or removed. Of members of one name in an object the last counts. Follow local codes; leave "
    "licensed work to licensed people."
)
_ONE_A_LINE = "One JSON object a line; the schema is that of a line."
_TAGS = {
    "cases": "One job: its complaint, readings and history.",
    "models": "What the packs say about appliance families.",
    "service": "The service itself.",
}


def contract() -> Document:
    """Make the contract."""
    plugin = MarshmallowPlugin(schema_name_resolver=_schema_name)
    spec = APISpec(
        "Probewright",
        VERSION,
        "3.1.0",
        info={"description": _DESCRIPTION, "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"}},
        servers=[{"url": "/", "description": "This service."}],
        tags=[{"name": name, "description": text} for name, text in _TAGS.items()],
        plugins=[plugin],
    )
    for kind in KINDS.values():
        spec.components.response(_response_name(kind), _problem_response(kind))
    for route in ROUTES:
        spec.path(path=route.path, operations={route.method.lower(): _operation(route)})
    document: Document = spec.to_dict()
    _finish_schemas(document, plugin)
    return _sorted(document)


def _schema_name(schema: type[Schema] | Schema | str) -> str:
    name = schema if isinstance(schema, str) else getattr(schema, "__name__", type(schema).__name__)
    return str(name).removesuffix("Schema")


def _response_name(kind: Kind) -> str:
    return "".join(word.capitalize() for word in kind.code.split("_"))


def _problem_response(kind: Kind) -> Document:
    response: Document = {
        "description": f"{kind.title}. {kind.remedy}",
        "content": {PROBLEM: {"schema": ProblemSchema}},
    }
    if kind.status == 405:
        response["headers"] = {
            "Allow": {"description": "The methods that would do.", "schema": {"type": "string", "examples": ["GET"]}}
        }
    return response


def _operation(route: Route) -> Document:
    operation: Document = {
        "operationId": route.operation_id,
        "tags": [route.tag],
        "summary": route.summary,
        "description": route.description,
        "responses": {"200": _success(route)} | _problems(route),
    }
    if route.parameters:
        operation["parameters"] = [_parameter(p) for p in route.parameters]
    if route.body is not None:
        operation["requestBody"] = _stream_of(route) if route.streamed else _body(route)
    return operation


def _body(route: Route) -> Document:
    visit = route.body is VisitRequestSchema
    content = {JSON: {"schema": route.body, "example": EXAMPLE_VISIT if visit else EXAMPLE_CASE}}
    what = "What is known before the visit." if visit else "The case."
    return {"description": what, "required": True, "content": content}


def _stream_of(route: Route) -> Document:
    """Lines that come in; the schema is that of a line, for OpenAPI 3.1 has none of streams."""
    schema: Any = route.body if route.first is None else {"anyOf": [route.first, route.body]}
    lines = EXAMPLE_CASES if route.first is None else EXAMPLE_JOBS
    content = {NDJSON: {"schema": schema, "example": "".join(json.dumps(line) + "\n" for line in lines)}}
    return {"description": _ONE_A_LINE, "required": True, "content": content}


def _success(route: Route) -> Document:
    schema: Any = route.answer or {"type": "object", "description": "An OpenAPI document."}
    if route.streamed:
        return {"description": _ONE_A_LINE, "content": {NDJSON: {"schema": schema}}}
    return {"description": "The answer.", "content": {JSON: {"schema": schema}}}


def _problems(route: Route) -> Document:
    """Responses by status; where two kinds share one, the description names both."""
    by_status: dict[int, list[Kind]] = {}
    for code in (*route.problems, "internal_error", *(["bad_pack"] if route.body else [])):
        by_status.setdefault(KINDS[code].status, []).append(KINDS[code])
    responses: Document = {
        str(status): _response_name(kinds[0]) if len(kinds) == 1 else _either(kinds)
        for status, kinds in by_status.items()
    }
    return responses | {"default": _either([KINDS["bad_request"], KINDS["method_not_allowed"]])}


def _either(kinds: Sequence[Kind]) -> Document:
    return _problem_response(kinds[0]) | {"description": " Or: ".join(f"{k.title}. {k.remedy}" for k in kinds)}


def _parameter(parameter: Parameter) -> Document:
    return {
        "name": parameter.name,
        "in": "path",
        "required": True,
        "description": parameter.description,
        "schema": {"type": "string", "examples": [parameter.example]},
    }


def _finish_schemas(document: Document, plugin: MarshmallowPlugin) -> None:
    """Add what the schema classes say of themselves: descriptions, and that requests hold nothing else."""
    refs = plugin.converter.refs if plugin.converter is not None else {}  # it is there once a schema was resolved
    for key, name in refs.items():
        schema: type[RecordSchema] = key[0]
        written = document["components"]["schemas"][name]
        written["description"] = (schema.__doc__ or "").strip()
        written.pop("additionalProperties", None)  # answers may gain members
        if schema.closed:
            written["additionalProperties"] = False


def _sorted(document: Document) -> Document:
    """Members in a stable order: what OpenAPI readers expect first, then by name."""
    order = ("openapi", "info", "servers", "tags", "paths", "components")
    return {name: _plain(document[name]) for name in order if name in document}


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    return value


def text() -> str:
    """The contract as it is published."""
    return json.dumps(contract(), indent=1, ensure_ascii=False, sort_keys=False) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Write the contract, or check the file; exit code 1 when it differs."""
    parser = argparse.ArgumentParser(prog="python -m probewright.web.contract", description=main.__doc__)
    parser.add_argument("--check", action="store_true", help="write nothing; fail when the file differs")
    parser.add_argument("path", nargs="?", type=Path, default=Path(DEFAULT_PATH))
    given = parser.parse_args(arguments)
    wanted = text()
    if not given.check:
        given.path.parent.mkdir(parents=True, exist_ok=True)
        given.path.write_text(wanted, encoding="utf-8")
        return 0
    if given.path.is_file() and given.path.read_text(encoding="utf-8") == wanted:
        return 0
    sys.stderr.write(f"{given.path} is not what the code says; run: python -m probewright.web.contract {given.path}\n")
    return 1


if __name__ == "__main__":
    sys.exit(main())
