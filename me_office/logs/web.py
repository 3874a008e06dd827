"""The log of the web server, in the office's format. Named in gunicorn.conf.py."""

from __future__ import annotations

from typing import Any

from gunicorn.glogging import Logger

from me_office.logs.lines import Line


class ServerLog(Logger):
    """gunicorn's logger with the office's lines."""

    def setup(self, cfg: Any) -> None:
        """Set up as gunicorn does, then write as the office does."""
        super().setup(cfg)
        for handler in (*self.error_log.handlers, *self.access_log.handlers):
            handler.setFormatter(Line())

    def access(self, *_: Any) -> None:
        """Write nothing: `me_office.logs.requests` writes a line a request, without its query."""
