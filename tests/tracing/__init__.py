"""Tracings. Skipped as a whole where a library of the extra `tracing` is missing."""

from __future__ import annotations

import pytest

from toeroom.tracing import LIBRARIES

for _library in LIBRARIES:
    pytest.importorskip(
        _library, reason="the extra 'tracing' is not installed: pip install 'toeroom[tracing]'"
    )
