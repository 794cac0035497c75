"""What a diagnosis does to the code around it: the bare application's own call, alone and right after a diagnosis.

Both in this process, without sockets.  The call does the same work each time; after a diagnosis it finds the
processor's caches filled with other things.
"""

from __future__ import annotations

import importlib
import io
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import orjson
from cases import cases
from table import Figure

from probewright import engine
from probewright.intake import load_case, pack_of, read_json
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.dump import to_document

N_CALLS, N_WARM_UP = 1000, 300
ANSWER_BYTES = 9000


def measure() -> Figure:
    """Median of calls in a row, and of calls that take turns with diagnoses."""
    app = _bare_application()
    registry, settings = load_packs(), Settings()
    bodies = [orjson.dumps(case) for case in cases("none")[: N_CALLS + N_WARM_UP]]

    def diagnose(body: bytes) -> None:
        case = load_case(read_json(body))
        orjson.dumps(to_document(engine.diagnose(case, pack_of(case, registry), settings)))

    for body in bodies[:N_WARM_UP]:
        diagnose(body)
    alone = [_seconds(app, body) for body in bodies[N_WARM_UP:]]
    between = []
    for body in bodies[N_WARM_UP:]:
        diagnose(body)
        between.append(_seconds(app, body))
    hot, cold = (1e6 * statistics.median(times) for times in (alone, between))
    return Figure("the bare application's call right after a diagnosis, over the same call alone, in time",
                  f"{cold / hot:.1f} ({cold:.0f} to {hot:.0f} µs)")  # fmt: skip


def _bare_application() -> Any:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "answer").write_bytes(bytes(ANSWER_BYTES))
        os.environ["ECHO_ANSWERS"] = folder
        return importlib.import_module("echo_app").app


def _seconds(app: Any, body: bytes) -> float:
    environ = {
        "REQUEST_METHOD": "POST", "PATH_INFO": "/answer/answer", "SERVER_NAME": "localhost", "SERVER_PORT": "80",
        "SERVER_PROTOCOL": "HTTP/1.1", "wsgi.url_scheme": "http", "wsgi.input": io.BytesIO(body),
        "wsgi.errors": sys.stderr, "CONTENT_TYPE": "application/json", "CONTENT_LENGTH": str(len(body)),
    }  # fmt: skip
    begin = time.perf_counter()
    b"".join(app(environ, lambda *_: None))
    return time.perf_counter() - begin
