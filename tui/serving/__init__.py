"""The app in a browser on the same computer. All of it needs the extra `serve`: call `need_extra` first."""

from __future__ import annotations

from importlib.util import find_spec

from toeroom.errors import BadInput


def need_extra() -> None:
    """Raises `BadInput` where the libraries of the extra are missing."""
    if any(find_spec(name) is None for name in ("aiohttp", "textual_serve")):
        raise BadInput(
            "serving needs libraries that are not installed",
            mend="install the extra: pip install 'toeroom[serve]'",
        )
