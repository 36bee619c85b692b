"""A handbook to search, and a small one to break."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from toeroom.handbook import Handbook

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="session")
def handbook(tmp_path_factory: pytest.TempPathFactory) -> Handbook:
    """The handbook of the checkout, its index kept apart from the user's."""
    return Handbook(ROOT, cache=tmp_path_factory.mktemp("cache"))


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the shipped book that may be broken."""
    folder = tmp_path / "book"
    for part in ("kb", "rules"):
        shutil.copytree(ROOT / part, folder / part)
    return folder
