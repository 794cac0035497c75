"""The application factory.

Importing this module imports Flask and the schemas.  Calling :func:`create_app` imports the engine, unless one is
given.  Nothing is kept between requests but what the registry and the engine's bounded caches hold.
"""

from __future__ import annotations

from flask import Flask

from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright.web import problems
from probewright.web.handlers import Engine, Handlers
from probewright.web.replies import Reply
from probewright.web.routes import ROUTES


def create_app(registry: Registry, settings: Settings, engine: Engine | None = None) -> Flask:
    """Make the application.

    Parameters
    ----------
    registry : Registry
        From :func:`probewright.packs.loader.load_packs`.
    settings : Settings
        Of this deployment.
    engine : Engine, optional
        Instead of :mod:`probewright.engine`, for tests of the web part alone.
    """
    app = Flask("probewright", static_folder=None)
    app.response_class = Reply
    app.url_map.merge_slashes = False  # "//v1" is not found, and not moved
    # One more than what is allowed: a body without a stated length is cut off there, and the handlers notice.
    app.config["MAX_CONTENT_LENGTH"] = settings.max_body_bytes + 1
    handlers = Handlers(registry, settings, engine or Engine.real())
    for route in ROUTES:
        rule = route.path.replace("{", "<").replace("}", ">")
        app.add_url_rule(rule, route.operation_id, getattr(handlers, route.operation_id), methods=[route.method])
    problems.install(app)
    return app


__all__ = ["create_app"]
