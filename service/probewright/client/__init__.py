"""Asks the service from Python: a :class:`Client` on top of ``requests``, without the engine.

Importing it loads neither numpy nor Flask nor a pack, so dispatch software may have it beside its own.  The README has
examples, under "From Python".

May import: ``errors``.
"""

from probewright.client.address import InsecureTokenWarning
from probewright.client.client import Client
from probewright.client.documents import iter_ndjson
from probewright.client.errors import (
    BadAnswerError,
    BadRequestError,
    ClientError,
    ConnectionFailedError,
    CutOffError,
    InvalidCaseError,
    NotAllowedError,
    RedirectedError,
    ServiceError,
    TimedOutError,
    TooLargeError,
    TooManyRequestsError,
    TryLaterError,
    UnavailableError,
    UnknownFamilyError,
    UnreachableError,
    UnsendableError,
)
from probewright.client.retrying import Retries
from probewright.client.streaming import BatchItem

__all__ = [
    "BadAnswerError", "BadRequestError", "BatchItem", "Client", "ClientError", "ConnectionFailedError", "CutOffError",
    "InsecureTokenWarning", "InvalidCaseError", "NotAllowedError", "RedirectedError", "Retries", "ServiceError",
    "TimedOutError", "TooLargeError", "TooManyRequestsError", "TryLaterError", "UnavailableError",
    "UnknownFamilyError", "UnreachableError", "UnsendableError", "iter_ndjson",
]  # fmt: skip
