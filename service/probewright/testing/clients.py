"""A client of the whole service with given packs, as dispatch software sees it, but without a socket."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from werkzeug.test import TestResponse

from probewright.errors import PackError
from probewright.packs.loader import load_packs
from probewright.packs.registry import LoadedPack, Registry
from probewright.packs.shopfile import ShopFileError
from probewright.settings import Settings
from probewright.web import create_app

Document = dict[str, Any]


def named(pack: object) -> str:
    """The name that a pack goes by in messages: its module's last, or its class's."""
    name = getattr(pack, "__name__", None) or type(pack).__name__
    return str(name).rpartition(".")[2]


def load(*packs: object, shop_files: Iterable[str | Path] = ()) -> Registry:
    """Load packs by the loader alone, without those that are installed, and lay a shop's files over them.

    Raises
    ------
    AssertionError
        When one is refused; the message gives every reason.
    """
    names = [named(pack) for pack in packs]
    # Objects of one class go by one name; the loader takes each name once.
    once = [name if names.count(name) == 1 else f"{name}_{place}" for place, name in enumerate(names, start=1)]
    try:
        extra = list(zip(once, packs, strict=True))
        return load_packs(strict=True, entry_points=(), extra=extra, shop_files=shop_files)
    except PackError as error:
        raise AssertionError(f"the loader refuses a pack: {error}") from error
    except ShopFileError as error:
        raise AssertionError(f"the loader refuses a {error}") from error


class Client:
    """Asks the service; every answer is a JSON document, and every refusal an error that explains.

    Parameters
    ----------
    registry : Registry
        The packs that the service knows; ``settings`` are those of a deployment.
    """

    def __init__(self, registry: Registry, settings: Settings | None = None) -> None:
        self.registry = registry
        self._http = create_app(registry, settings or Settings()).test_client()

    @property
    def packs(self) -> tuple[LoadedPack, ...]:
        """The loaded packs, by family id."""
        return tuple(self.registry.packs.values())

    def diagnose(self, case: Mapping[str, Any]) -> Document:
        """Diagnose a case: ``POST /v1/diagnoses``.

        ``family`` may be left out where there is one pack only.

        Raises
        ------
        AssertionError
            When the service refuses the case; the message names every place and what is wrong there.
        """
        return self._post("/v1/diagnoses", case)

    def check(self, case: Mapping[str, Any]) -> Document:
        """Check a case's readings, and infer nothing: ``POST /v1/readings/check``."""
        return self._post("/v1/readings/check", case)

    def score(self, case: Mapping[str, Any]) -> Document:
        """Log-likelihoods of each reading under each fault: ``POST /v1/readings/score``."""
        return self._post("/v1/readings/score", case)

    def plan(self, request: Mapping[str, Any]) -> Document:
        """Plan a visit beforehand: ``POST /v1/visit-plans``."""
        return self._post("/v1/visit-plans", request)

    def family(self, family: str | None = None) -> Document:
        """All that a pack says of its family: ``GET /v1/families/{family}``."""
        path = f"/v1/families/{family if family is not None else self._only()}"
        return _read(f"GET {path}", self._http.get(path))

    def _post(self, path: str, document: Mapping[str, Any]) -> Document:
        asked = dict(document) if "family" in document else {"family": self._only(), **document}
        return _read(f"POST {path}", self._http.post(path, json=asked))

    def _only(self) -> str:
        if len(self.packs) != 1:
            raise AssertionError(f"say which family: {', '.join(self.registry.packs)} are loaded")
        return self.packs[0].family.id


def client(*packs: object, settings: Settings | None = None, shop_files: Iterable[str | Path] = ()) -> Client:
    """Make a client of the service with these packs and no others.

    Parameters
    ----------
    *packs : module or object
        As entry points name them: each has ``CONTRACT`` and its hooks.  One that lays overlays only is given beside
        those that it is laid over.
    settings : Settings, optional
        Those of a deployment, instead of the usual ones.
    shop_files : iterable of path, optional
        Files of a shop, laid over the packs.

    Raises
    ------
    AssertionError
        When the loader refuses a pack.

    Examples
    --------
    >>> answer = client(ice_maker).diagnose({"complaints": ["no_ice"]})
    >>> answer["next"]["kind"]
    'test'
    """
    return Client(load(*packs, shop_files=shop_files), settings)


def _read(asked: str, response: TestResponse) -> Document:
    document: Document = response.get_json()
    if response.status_code != 200:
        raise AssertionError(_explained(asked, document))
    return document


def _explained(asked: str, problem: Document) -> str:
    lines = [f"{asked} answered {problem['status']} {problem['code']}: {problem['title']}"]
    lines += [f"  {error['pointer'] or '/'}: {error['message']}" for error in problem["errors"]]
    return "\n".join(lines if problem["errors"] else [*lines, f"  {problem['detail']}"])
