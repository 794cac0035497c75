"""The schemas of what the web service says about itself and about a request that it could not answer (RFC 9457)."""

from __future__ import annotations

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice
from probewright_schemas.results import array, number, texts, words


class ProblemFaultSchema(RecordSchema):
    """One thing wrong in a body."""

    record = dict
    pointer = words(
        "Where: a JSON pointer (RFC 6901) into the body; empty for the whole of it.", "/readings/0/unit"
    )
    message = words("What is wrong, for a person.", "is required with a number")
    code = words("Stable name of what is wrong.", "missing")


class ProblemSchema(RecordSchema):
    """Why a request was not answered: problem details by RFC 9457."""

    record = dict
    type = words("URI of the kind of problem; it can be fetched.", "/v1/problems/invalid_case")
    title = words("The kind of problem, for a person.", "The case breaks the contract")
    status = number("HTTP status.", 422, "1", required=True)
    detail = words("This problem, for a person.", "1 fault: /readings/0/unit: is required with a number")
    code = words("Stable name of the kind of problem.", "invalid_case")
    instance = words(
        "Id of this occurrence, which the log has too.",
        "urn:uuid:0b6f2a4e-2f5e-4f0c-9a57-0d1d5f7a9a10",
        required=False,
    )
    errors = array(ProblemFaultSchema, "Every fault in the body; empty where the problem is not in it.")


class ProblemKindSchema(RecordSchema):
    """A kind of problem."""

    record = dict
    code = words("Stable name.", "invalid_case")
    title = words("The kind of problem, for a person.", "The case breaks the contract")
    status = number("HTTP status that it comes with.", 422, "1", required=True)
    remedy = words("What to do about it.", "Mend every place that errors lists, and send the case again.")


class LiveSchema(RecordSchema):
    """The process answers."""

    record = dict
    status = Choice("Always `live`.", ("live",), example="live", required=True)


class ReadySchema(RecordSchema):
    """The service can diagnose."""

    record = dict
    status = Choice("Always `ready`.", ("ready",), example="ready", required=True)
    families = texts("The families that are loaded.", "gas_range")
