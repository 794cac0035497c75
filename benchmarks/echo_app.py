"""A bare web application to compare with: the least that Flask does to read a request and answer as many bytes.

``/answer/NAME`` reads the body and gives back the file NAME of the folder in ``ECHO_ANSWERS``, read once at start-up.
"""

from __future__ import annotations

import os
from pathlib import Path

from flask import Flask, Response, request

app = Flask(__name__)
ANSWERS = {path.name: path.read_bytes() for path in Path(os.environ["ECHO_ANSWERS"]).iterdir()}


@app.get("/ready")
def ready() -> Response:
    """Whether it runs."""
    return Response(b"{}", mimetype="application/json")


@app.post("/answer/<name>")
def same_answer(name: str) -> Response:
    """Read the body, and give the answer of that name."""
    request.get_data()
    return Response(ANSWERS[name], mimetype="application/json")
