"""A tracing: the outline of a foot, and of a shoe's liner, measured and laid on each other.

`report.trace` does it. All but this file and `result.py` need the extra `tracing`: call `need_extra`
before importing them.
"""

from __future__ import annotations

from importlib.util import find_spec

from toeroom.errors import BadInput

LIBRARIES = ("numpy", "cv2", "shapely", "svgelements", "pypdfium2", "PIL")
"""What the extra brings, by import name."""


def need_extra() -> None:
    """Raises `BadInput`, which says what to install, where a library of the extra is missing."""
    if any(find_spec(name) is None for name in LIBRARIES):
        raise BadInput(
            "tracings need libraries that are not installed", mend="pip install 'toeroom[tracing]'"
        )
