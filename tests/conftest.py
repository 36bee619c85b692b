"""What all tests share."""

from __future__ import annotations

from pathlib import Path

import pytest

from toeroom.book import Book, open_book

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def book() -> Book:
    """The book of the checkout."""
    return open_book(ROOT)
