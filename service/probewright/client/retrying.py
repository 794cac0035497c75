"""Asks again, within bounds.

The service only computes, and keeps nothing: a request that is sent twice does no harm, and a POST is repeated as a
GET is.
"""

from __future__ import annotations

import logging
import math
import random
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

from probewright.client.errors import ClientError, TryLaterError

log = logging.getLogger(__name__)

#: Digits of a number of seconds; more than these are centuries.
_MOST_DIGITS = 10


@dataclass(frozen=True, slots=True)
class Retries:
    """How often and how long to ask again; the defaults are choices.

    Between two attempts lies a random part of a span that doubles each time (exponential back-off with full jitter), so
    that many clients do not come back at once; and at least what the service asks for (``Retry-After``, RFC 9110).

    Attributes
    ----------
    most : int
        Attempts after the first; 0 for none.
    total : float
        Seconds, from the first attempt, after which none is begun.
    first, longest : float
        Seconds of the first span, and of the longest.
    longest_asked : float
        Seconds: a service that asks for more is not waited for, and the error says in ``retry_after`` how long it
        wanted.
    random, sleep, clock : callable
        A number from 0 to 1; to wait some seconds; and the seconds that have passed.  For tests.

    Raises
    ------
    ValueError
        For a bound that is none.
    """

    most: int = 4
    total: float = 60.0
    first: float = 0.5
    longest: float = 20.0
    longest_asked: float = 30.0
    random: Callable[[], float] = random.random
    sleep: Callable[[float], object] = time.sleep
    clock: Callable[[], float] = time.monotonic

    def __post_init__(self) -> None:
        for name in ("most", "total", "first", "longest", "longest_asked"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value >= 0):
                raise ValueError(f"{name} must be a number from 0, not {value!r}")

    def begin(self) -> Attempts:
        """A first attempt begins now."""
        return Attempts(self)


class Attempts:
    """The attempts at one request."""

    def __init__(self, retries: Retries) -> None:
        self._retries, self._failed, self._began = retries, 0, retries.clock()

    def failed(self, error: ClientError, what: str) -> None:
        """Wait until the request may be sent again; or raise the error, if it may not.

        Parameters
        ----------
        error : ClientError
            Why an attempt failed.
        what : str
            What was asked, for the log.
        """
        retries = self._retries
        if not error.repeatable or self._failed >= retries.most:
            raise error
        asked = (error.retry_after or 0.0) if isinstance(error, TryLaterError) else 0.0
        pause = asked + retries.random() * _span(retries, self._failed)
        passed = retries.clock() - self._began
        if asked > retries.longest_asked or passed + pause > retries.total:
            raise error
        self._failed += 1
        log.info("%s: %s; again in %.2f s (%d of %d)", what, error.code, pause, self._failed, retries.most)
        retries.sleep(pause)


def _span(retries: Retries, failed: int) -> float:
    # 2**64 times anything is beyond the longest; a larger power would not be a float at some time.
    return min(retries.longest, retries.first * 2.0 ** min(failed, 64))


def retry_after(asked: str | None, date: str | None) -> float | None:
    """Seconds that a service asks to wait.

    Parameters
    ----------
    asked : str or None
        ``Retry-After``: seconds, or a date (RFC 9110, section 10.2.3).
    date : str or None
        ``Date`` of the same answer: the service's clock, by which its date is meant; the own one where it is missing.

    Returns
    -------
    float or None
        None where it asks for nothing that can be read.
    """
    text = (asked or "").strip()
    if text.isascii() and text.isdigit():
        return float(text) if len(text) <= _MOST_DIGITS else math.inf
    until = _moment(text)
    if until is None:
        return None
    now = _moment(date) or datetime.now(UTC)
    return max(0.0, (until - now).total_seconds())


def _moment(text: str | None) -> datetime | None:
    try:
        moment = parsedate_to_datetime(text or "")
    except (ValueError, TypeError, OverflowError):
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
