"""The shipped vocabulary and cue lists, read once."""

from __future__ import annotations

from pathlib import Path

import pytest

from toeroom.answers.cues import Cues, read_cues
from toeroom.vocabulary import Vocabulary, read_vocabulary

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    return read_vocabulary(ROOT / "rules" / "vocabulary.yaml")


@pytest.fixture(scope="session")
def cues() -> Cues:
    return read_cues(ROOT / "kb")
