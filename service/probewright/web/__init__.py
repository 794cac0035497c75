"""The only folder that knows HTTP.  May import: everything of the service but ``cli`` and ``render``."""

from probewright.web.app import create_app

__all__ = ["create_app"]
