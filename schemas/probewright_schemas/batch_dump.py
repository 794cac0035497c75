"""Results of re-evaluation to JSON documents; rounded as :mod:`probewright_schemas.dump` says."""

from __future__ import annotations

from typing import Any

from probewright_schemas.batch_records import Change, CorrectedReading, Held, Reevaluation
from probewright_schemas.dump import nine, pack_identity, significant, to_document

Document = dict[str, Any]


def reevaluation_document(result: Reevaluation) -> Document:
    """What became of one stored case, as a JSON document."""
    document: Document = {} if result.reference is None else {"reference": result.reference}
    document |= {"family": result.family, "status": result.status, "why": result.why}
    if result.shift is not None:
        document["shift"] = significant(result.shift)
    if result.before is not None:
        document["before"] = _held(result.before)
    document["after"] = _held(result.after)
    document["changes"] = [_change(change) for change in result.changes]
    document["corrected"] = [_corrected(reading) for reading in result.corrected]
    document["notes"] = list(result.notes)
    document["pack"] = pack_identity(result.pack)
    document["computation"] = result.computation
    if result.answer is not None:
        document["answer"] = to_document(result.answer)
    return document


def _held(held: Held) -> Document:
    return {"fault": held.fault, "probability": significant(held.probability)}


def _change(change: Change) -> Document:
    document: Document = {"kind": change.kind}
    for name in ("of", "reading", "before", "after"):
        value = getattr(change, name)
        if value is not None:
            document[name] = value
    for name in ("probability_before", "probability_after"):
        value = getattr(change, name)
        if value is not None:
            document[name] = significant(value)
    return document


def _corrected(reading: CorrectedReading) -> Document:
    return {
        "reading": reading.reading,
        "test": reading.test,
        "meter": reading.meter,
        "as_read": nine(reading.as_read),
        "value": nine(reading.value),
        "unit": reading.unit,
    }
