"""Stores for tests: a fresh file each, and one PostgreSQL for all."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from tests.records.postgres import Unavailable, postgres
from tests.records.quick import QuickPlanning
from toeroom.book import Book
from toeroom.records.store import Store, open_store


@pytest.fixture(autouse=True)
def own_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody's own store is touched."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    for name in ("TOEROOM_STORE", "TOEROOM_STORE_PASSPHRASE", "TOEROOM_STORE_NEW_PASSPHRASE"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def store(tmp_path: Path, book: Book) -> Iterator[Store]:
    """A new store in a file, that plans by the book."""
    with open_store(str(tmp_path / "store.db"), book) as opened:
        yield opened


@pytest.fixture
def quick_store(tmp_path: Path) -> Iterator[Store]:
    """A new store in a file, that plans by nothing."""
    with open_store(str(tmp_path / "quick.db"), planning=QuickPlanning()) as opened:
        yield opened


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The URL of a PostgreSQL started for the tests."""
    try:
        started = postgres()
        url = started.__enter__()
    except Unavailable as why:
        pytest.skip(str(why))
    yield url
    started.__exit__(None, None, None)


@pytest.fixture
def database(server: str, request: pytest.FixtureRequest) -> str:
    """The URL of an empty database of the test's own."""
    name = f"t{abs(hash(request.node.nodeid))}"
    engine = create_engine(server.replace("postgresql:", "postgresql+psycopg:"), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    engine.dispose()
    return server.replace("/postgres?", f"/{name}?")


@pytest.fixture(params=["sqlite", "postgresql"])
def either(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of a new store of either kind."""
    if request.param == "sqlite":
        return str(tmp_path / "either.db")
    url: str = request.getfixturevalue("database")
    return url
