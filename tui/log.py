"""The app's log: what went wrong, for who maintains toeroom. It stays on this machine."""

from __future__ import annotations

import json
import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path

from platformdirs import user_log_path

from toeroom.errors import EnginesDiffer

_LOG = logging.getLogger("toeroom.app")


def log_file() -> Path:
    """Where the log stands."""
    return user_log_path("toeroom") / "app.log"


def write_down(what: str, error: BaseException) -> str:
    """Logs `error`; returns a sentence that says where, or that it could not be written."""
    path = log_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(path, maxBytes=500_000, backupCount=2, encoding="utf-8", delay=True)
    except OSError:
        return "It could not be written to the log."
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    _LOG.propagate = False
    _LOG.addHandler(handler)
    try:
        report = f" {json.dumps(error.report, sort_keys=True)}" if isinstance(error, EnginesDiffer) else ""
        _LOG.error("%s%s", what, report, exc_info=error)
    finally:
        _LOG.removeHandler(handler)
        handler.close()
    return f"It is written down in {path}; send that to who maintains the rules."
