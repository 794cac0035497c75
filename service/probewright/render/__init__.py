"""Answers as text for people.

Every function takes a JSON document as the service gives it and returns lines joined by newlines, so that a program
that asks over HTTP can print the same.  What pages are made of is in ``render.page``.  May import: nothing of ours.
"""

from probewright.render.diagnosis import (
    render_diagnosis,
    render_families,
    render_packs,
    render_problem,
    render_readings,
)
from probewright.render.text import WIDTH
from probewright.render.visit import render_visit

__all__ = [
    "WIDTH", "render_diagnosis", "render_families", "render_packs", "render_problem", "render_readings", "render_visit",
]  # fmt: skip
