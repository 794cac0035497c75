"""A bare web application to compare with: the least that Flask does to read a request and answer as many bytes.

``/answer/NAME`` reads the body and gives back the file NAME of the folder in ``ECHO_ANSWERS``, read once at start-up;
``/request`` gives back the body itself.
"""

from __future__ import annotations

import os
from pathlib import Path

from flask import Flask, Response, request

app = Flask(__name__)
ANSWERS = {path.name: path.read_bytes() for path in Path(os.environ["ECHO_ANSWERS"]).iterdir()}


@app.get("/ready")
def ready() -> Response:
    return Response(b"{}", mimetype="application/json")


@app.post("/request")
def same_request() -> Response:
    return Response(request.get_data(), mimetype="application/json")


@app.post("/answer/<name>")
def same_answer(name: str) -> Response:
    request.get_data()
    return Response(ANSWERS[name], mimetype="application/json")
