"""A review as one page: findings, scores and figures, in a file that needs nothing else, no script and no network."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from probewright.render.page.style import CSS
from probewright.render.page.words import element, escaped, paragraph
from probewright.review.document import origin
from probewright.review.page_findings import findings
from probewright.review.page_quality import quality_sections, tiles
from probewright.review.quality_text import other_worlds

Document = Mapping[str, Any]


def page_html(told: Document) -> str:
    """The page.

    Parameters
    ----------
    told : mapping
        As :func:`probewright.review.document.review_document` gives it; with or without ``quality``.

    Returns
    -------
    str
        HTML; the same document gives the same page.
    """
    title = _title(told)
    body = "\n".join([
        element("header", element("h1", escaped(title)) + _about(told)),
        tiles(told["counts"], told["quality"]),
        findings(told),
        *([] if told["quality"] is None else quality_sections(told["quality"])),
    ])  # fmt: skip
    head = (
        '<meta charset="utf-8">\n<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escaped(title)}</title>\n<style>{CSS}</style>"
    )
    return f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{head}\n</head>\n<body>\n{body}\n</body>\n</html>\n'


def _title(told: Document) -> str:
    pack = told["pack"]
    return f"Review of {told['name']}" if pack is None else f"Review of {pack['title']} {pack['version']}"


def _about(told: Document) -> str:
    pack, lines = told["pack"], []
    if pack is None:
        lines.append("The pack could not be loaded; what it was refused for is listed below.")
    else:
        lines.append(f"Pack {pack['entry_point']} of {origin(pack)}, {pack['digest'][:19]}.")
    figures = told["figures"]
    if figures is not None:
        bases = (f"{count} {basis.replace('_', ' ')}" for basis, count in figures["by_basis"].items())
        lines.append(f"Its {figures['count']} numbers rest on these bases: {', '.join(bases)}.")
    quality = told["quality"]
    if quality is not None:
        worlds = " and ".join(_world(name, world) for name, world in quality["worlds"].items())
        lines.append(f"{quality['jobs']} jobs were simulated {worlds}, from seed {quality['seed']}.")
    return "".join(paragraph(line, "soft") for line in lines)


def _world(name: str, world: Document) -> str:
    return "from its own model" if name == "given" else f"from {other_worlds(world)}"
