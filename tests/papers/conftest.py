"""Every paper of every demo case, made once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import Book, open_book
from toeroom.case import Case, parse_case, read_case
from toeroom.papers.kinds import KINDS
from toeroom.papers.making import Paper, make_paper

DEMO = sorted(path.stem for path in (ROOT / "cases_demo").glob("*.yaml"))
STOPPED = ("hot-swollen-foot", "open-wound-on-the-sole")


@cache
def _book() -> Book:
    return open_book(ROOT)


@cache
def demo_case(name: str) -> Case:
    """A demo case by name."""
    return read_case(ROOT / f"cases_demo/{name}.yaml", _book().vocabulary)


@cache
def demo_paper(name: str, kind: str) -> Paper:
    """A paper of a demo case."""
    return make_paper(KINDS[kind], demo_case(name), _book())


def paper_of(text: str, kind: str, templates: Path | None = None) -> Paper:
    """A paper of a case given as YAML."""
    return make_paper(KINDS[kind], parse_case(text, _book().vocabulary), _book(), templates=templates)


@pytest.fixture(params=DEMO)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(params=KINDS)
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)
