"""The application with the real packs and engine, and one whose engine is a double."""

from __future__ import annotations

from types import SimpleNamespace

import jsonschema
import pytest

from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright.web import create_app
from probewright.web.contract import contract
from probewright.web.handlers import Engine
from probewright_schemas.records import Diagnosis, ReadingsReport, ScoreReport
from probewright_schemas.visit_records import VisitPlan


@pytest.fixture(scope="session")
def registry() -> Registry:
    return load_packs()


@pytest.fixture(scope="session")
def published():
    return contract()


@pytest.fixture(scope="session")
def client(registry):
    """The whole service."""
    return create_app(registry, Settings()).test_client()


class Double:
    """An engine that notes what it was asked, and answers little or raises what it is told to."""

    def __init__(self) -> None:
        self.asked: list[SimpleNamespace] = []
        self.error: BaseException | None = None

    def _note(self, what, case, pack, settings):
        self.asked.append(SimpleNamespace(what=what, case=case, pack=pack, settings=settings))
        if self.error is not None:
            raise self.error

    def diagnose(self, case, pack, settings):
        self._note("diagnose", case, pack, settings)
        return Diagnosis(pack.identity, (), (), 0.25, 0.75, "Mind codes.", case.reference)

    def check_readings(self, case, pack, settings):
        self._note("check_readings", case, pack, settings)
        return ReadingsReport(pack.identity, (), "Mind codes.", case.reference)

    def score_readings(self, case, pack, settings):
        self._note("score_readings", case, pack, settings)
        return ScoreReport(pack.identity, ("no_fault", "unknown"), (), pack.family.notice, (), case.reference)

    def plan_visit(self, request, pack, settings):
        self._note("plan_visit", request, pack, settings)
        return VisitPlan(pack.identity, "Mind codes.", request.reference)

    def engine(self, **others):
        return Engine(self.diagnose, self.check_readings, self.score_readings, self.plan_visit, **others)


@pytest.fixture
def double():
    return Double()


@pytest.fixture
def thin(registry, double):
    """The web part alone."""
    return create_app(registry, Settings(max_body_bytes=2000), double.engine()).test_client()


@pytest.fixture(scope="session")
def valid(published):
    """Checks a reply against what the contract says of its operation and status."""

    def check(response, path, method="post"):
        responses = published["paths"][path][method]["responses"]
        described = responses.get(str(response.status_code), responses["default"])
        while "$ref" in described:
            described = published["components"]["responses"][described["$ref"].rpartition("/")[2]]
        schema = described["content"][response.mimetype]["schema"]
        root = {**schema, "components": published["components"]}
        jsonschema.Draft202012Validator(root).validate(response.get_json())
        return response.get_json()

    return check
