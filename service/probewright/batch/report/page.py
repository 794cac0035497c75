"""The page: one file that needs nothing else, no script and no network."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from probewright.batch.report.about import About
from probewright.batch.report.asked import asked
from probewright.batch.report.attention import attention
from probewright.batch.report.bars import shifts, verdicts
from probewright.batch.report.chances import chances
from probewright.batch.report.counted import Counted
from probewright.batch.report.flow import flows
from probewright.batch.report.overview import header, packs, tiles
from probewright.batch.report.style import CSS
from probewright.batch.report.tables import by_family, by_fault, by_meter

TITLE = "Re-evaluation of stored jobs"


def report_page(tally: Mapping[str, Any], about: About | None = None) -> str:
    """The page.

    Parameters
    ----------
    tally : mapping
        As :meth:`probewright.batch.summary.Tally.to_json` gives it.
    about : About, optional
        What was asked, and what things are called.

    Returns
    -------
    str
        HTML; the same tally gives the same page.
    """
    told, about = Counted(tally), about or About()
    body = "\n".join(part for part in _parts(told, about) if part)
    # The style that is here, and nothing else: not even another one that got in.
    allowed = b64encode(sha256(CSS.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{allowed}'; base-uri 'none'; form-action 'none'"
    head = (
        f'<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{TITLE}</title>\n<style>{CSS}</style>"
    )
    return f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{head}\n</head>\n<body>\n{body}\n</body>\n</html>\n'


def _parts(told: Counted, about: About) -> list[str]:
    parts = [header(TITLE, told, about), tiles(told), asked(about), packs(told, about)]
    if not told.answered:
        return parts
    return [
        *parts,
        attention(told, about),
        by_family(told, about),
        by_meter(told),
        flows(told, about),
        by_fault(told, about),
        chances(told),
        shifts(told),
        verdicts(told, about),
    ]
