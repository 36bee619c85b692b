"""Whether the app has been opened here before: then the tour does not come by itself."""

from __future__ import annotations

from pathlib import Path

from platformdirs import user_state_path


def seen_mark() -> Path:
    """The file that is there once the tour has been shown."""
    return user_state_path("toeroom") / "tour-seen"


def mark_seen() -> None:
    """Leaves the mark. Where nothing can be written, the tour will come again."""
    try:
        seen_mark().parent.mkdir(parents=True, exist_ok=True)
        seen_mark().touch()
    except OSError:
        return
