"""The client."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import TracebackType
from typing import Any, Self
from urllib.parse import quote

import requests

from probewright.client.address import bearer, checked_address
from probewright.client.documents import written
from probewright.client.errors import BadAnswerError, UnavailableError, UnreachableError, UnsendableError
from probewright.client.pieces import PIECE_BYTES, PIECE_LINES, Size
from probewright.client.retrying import Retries
from probewright.client.streaming import Items, Kind, stream
from probewright.client.transport import Call, Transport, own_session

Document = Mapping[str, Any]

#: Seconds to connect, and to wait for the next byte.  Choices.
TIMEOUT = (5.0, 60.0)


class Client:
    """Asks one service.  JSON documents go in and come out, as the service's contract (``/openapi.json``) has them.

    Keeps connections, so it is to be closed, or used in a ``with`` block.  As with the session of ``requests`` that it
    is built on, use one client a thread.

    Parameters
    ----------
    base_url : str
        Such as ``https://diagnoses.example``; a path is kept.
    token : str, optional
        Sent as ``Authorization: Bearer ...``, for a proxy that asks for one; never told, logged, or sent elsewhere:
        redirections are not followed.
    timeout : pair of float
        Seconds to connect, and to wait for the next byte.
    retries : Retries
        How often to ask again where that may help: after 429 and 503, and where no connection came about or it broke.
        The service only computes, so that a request which comes twice does no harm.
    session : requests.Session, optional
        To use in place of an own one, for certificates or proxies; it is not closed.

    Raises
    ------
    ValueError
        For an address, a token or a time-out that is none.

    Warns
    -----
    InsecureTokenWarning
        Where a token would go through a network as clear text.

    Notes
    -----
    Every method raises :class:`~probewright.client.ClientError`; its module says by which reaction of the caller they
    differ.
    """

    def __init__(
        self,
        base_url: str,
        token: str | None = None,
        timeout: tuple[float, float] = TIMEOUT,
        retries: Retries | None = None,
        session: requests.Session | None = None,
    ) -> None:
        self._address = checked_address(base_url)
        auth = bearer(token, self._address)
        if len(timeout) != 2 or not all(math.isfinite(seconds) and seconds > 0 for seconds in timeout):
            raise ValueError(f"timeout must be two numbers of seconds, not {timeout!r}")
        self._owned = session is None
        self._session = own_session() if session is None else session
        self._transport = Transport(self._address, auth, timeout, retries or Retries(), self._session)

    def __repr__(self) -> str:
        return f"Client({self._address!r})"

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        if self._owned:
            self._session.close()

    def diagnose(self, case: Document) -> dict[str, Any]:
        """Give the whole diagnosis of a case (POST /v1/diagnoses)."""
        return self._post("/v1/diagnoses", case)

    def check(self, case: Document) -> dict[str, Any]:
        """Judge the readings of a case (POST /v1/readings/check)."""
        return self._post("/v1/readings/check", case)

    def score(self, case: Document) -> dict[str, Any]:
        """Log-likelihoods, in nats, of the readings of a case (POST /v1/readings/score)."""
        return self._post("/v1/readings/score", case)

    def plan(self, request: Document) -> dict[str, Any]:
        """Plan a visit beforehand (POST /v1/visit-plans)."""
        return self._post("/v1/visit-plans", request)

    def families(self) -> list[dict[str, Any]]:
        """List the appliance families that are loaded."""
        families = self._get("/v1/families").get("families")
        if not isinstance(families, list):
            raise BadAnswerError("GET /v1/families: the answer lists no families", status=200)
        return families

    def family(self, family: str) -> dict[str, Any]:
        """Everything that a pack says of its family."""
        if family in ("", ".", ".."):  # would be taken for another path
            raise UnsendableError(f"{family!r} is no family")
        return self._get(f"/v1/families/{quote(family, safe='')}")

    def packs(self) -> dict[str, Any]:
        """Packs that were loaded, and those that were refused, with the reasons."""
        return self._get("/v1/packs")

    def ready(self) -> bool:
        """Whether the service can diagnose now; False, too, while nothing answers there.  Asks once."""
        try:
            self._transport.ask(Call("GET", "/health/ready"), replace(self._transport.retries, most=0))
        except (UnavailableError, UnreachableError):
            return False
        return True

    def diagnose_many(
        self, cases: Iterable[Document], *, piece_lines: int = PIECE_LINES, piece_bytes: int = PIECE_BYTES
    ) -> Items:
        """Diagnose cases, however many (POST /v1/diagnoses/batch).

        They are sent a piece at a time, and only one piece is held: the next cases are taken when the answers to the
        ones before have been.  Each answer is given as it comes.  A case that cannot be answered gets a problem in its
        place, and the others go on.

        Parameters
        ----------
        cases : iterable of mapping
        piece_lines, piece_bytes : int
            Cases and bytes of one request at the most.  A case that alone has more bytes goes alone.  With a session of
            your own keep the bytes under what its sockets send at once: the service answers while it reads.

        Yields
        ------
        BatchItem
            For each case, in order.  Closing the generator closes the connection.

        Raises
        ------
        ClientError
            When a whole piece is refused, or what of it was not answered could not be had by asking again.  The items
            before it are good; the next case is the one after the last item's ``index``.
        TypeError
            For a single case.
        """
        return stream(self._transport, Kind("/v1/diagnoses/batch", "answer"), _many(cases),
                      Size(piece_lines, piece_bytes))  # fmt: skip

    def re_evaluate(
        self, changes: Document, jobs: Iterable[Document], *, piece_lines: int = PIECE_LINES,
        piece_bytes: int = PIECE_BYTES,
    ) -> Items:  # fmt: skip
        """Ask stored cases again, with what is known now (POST /v1/re-evaluations).

        As :meth:`diagnose_many`, but that the changes go ahead of each piece.  They count to its bytes, up to half.

        Parameters
        ----------
        changes : mapping
            Corrections of meters, and limits, that were not known when the answers were given; may be empty.
        jobs : iterable of mapping
            Each with a ``case``, and the ``answer`` that it was given then, if there is one.
        piece_lines, piece_bytes : int
            Jobs and bytes of one request at the most.

        Yields
        ------
        BatchItem
            For each job, in order.
        """
        head = written(changes)
        size = Size(piece_lines, piece_bytes)
        room = replace(size, bytes=max(piece_bytes - len(head), piece_bytes // 2, 1))
        return stream(self._transport, Kind("/v1/re-evaluations", "result", head), _many(jobs), room)

    def _get(self, path: str) -> dict[str, Any]:
        return self._transport.ask(Call("GET", path))

    def _post(self, path: str, document: Document) -> dict[str, Any]:
        return self._transport.ask(Call("POST", path, written(document)))


def _many(documents: Iterable[Document]) -> Iterable[Document]:
    """Refuse one document where many are asked for: its members would be sent as if they were some."""
    if isinstance(documents, Mapping | str | bytes):
        raise TypeError("give many documents, such as a list or a generator, not one")
    return documents
