"""Pieces of HTML.  Whatever comes from a document is escaped here, and nowhere else is HTML made of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape


def escaped(text: object) -> str:
    """Text as it may stand in a page; control characters are no text."""
    return escape("".join(c if c.isprintable() or c == "\n" else "?" for c in str(text)))


def element(name: str, inner: str, kind: str = "") -> str:
    """An element around HTML."""
    opened = f'{name} class="{kind}"' if kind else name
    return f"<{opened}>{inner}</{name}>"


def paragraph(text: str, kind: str = "") -> str:
    """A paragraph of text."""
    return element("p", escaped(text), kind)


def figure(svg: str, caption: str) -> str:
    """A figure under which something is said."""
    return f"<figure>{svg}<figcaption>{escaped(caption)}</figcaption></figure>"


def table(head: Sequence[str], rows: Iterable[Sequence[str]], caption: str = "") -> str:
    """A table; cells are HTML, and a row of one cell is the title of those after it."""
    top = "".join(f'<th scope="col">{escaped(cell)}</th>' for cell in head)
    told = f"<caption>{escaped(caption)}</caption>" if caption else ""
    body = "".join(_row(row, len(head)) for row in rows)
    return f"<table>{told}<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _row(cells: Sequence[str], width: int) -> str:
    first, *others = cells
    if not others:
        return f'<tr><th scope="colgroup" class="group" colspan="{width}">{first}</th></tr>'
    return f'<tr><th scope="row">{first}</th>{"".join(f"<td>{cell}</td>" for cell in others)}</tr>'
