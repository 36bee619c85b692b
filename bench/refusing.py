"""Sets the weights by which Ask tells what it should refuse; prints them and how well they do.

A logistic regression (ridge, Newton's method) over the questions used in development. Run it after
larger changes of kb/asked.yaml or kb/outside.yaml, and take its figures over into
toeroom/answers/subject.py. Needs numpy (the extra `tracing`).
"""

from __future__ import annotations

import json
from dataclasses import astuple, fields
from pathlib import Path

import numpy as np

from toeroom.answers.answering import SAYS_LITTLE, WELL_COVERED, Answerer
from toeroom.answers.subject import Evidence
from toeroom.book import open_book, shipped_folder

TESTS = Path(__file__).parent.parent / "tests"
QUESTIONS = (
    *(
        TESTS / "answers" / f"questions_{name}.jsonl"
        for name in ("dev", "held", "held_second", "held_third", "held_fourth")
    ),
    TESTS / "handbook" / "questions.jsonl",
)
OURS_COUNT = 1.5
"""A question refused by mistake counts as so many answered by mistake."""
RIDGE = 0.5
STEPS = 60
REFUSED_BELOW = 0.66
"""The share of certainty below which a question is refused."""


def rows(answerer: Answerer) -> list[tuple[Evidence, bool]]:
    """The evidence of each question that no topic refuses, and whether the handbook holds it."""
    found = []
    for path in QUESTIONS:
        for line in path.read_text(encoding="utf-8").splitlines():
            entry = json.loads(line)
            row = _evidence(answerer, entry["text"])
            if row is not None:
                found.append((row, bool(entry["pages"])))
    for line in (TESTS / "answers" / "off_questions.txt").read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#") and (row := _evidence(answerer, line)) is not None:
            found.append((row, False))
    return found


def _evidence(answerer: Answerer, question: str) -> Evidence | None:
    reply = answerer.reply(question)
    told = any(one.id not in SAYS_LITTLE for one in reply.understood)
    result = answerer.handbook.search(question, limit=7)
    best = result.hits[0].coverage if result.hits else 0.0
    if answerer.refusals.topic_of(question, ordinary=not told and best < WELL_COVERED):
        return None
    return answerer.subject.evidence(question, result, told=told)


def fitted(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """The weights of a logistic regression of `y` on `x`, whose first column is 1."""
    weights, counts = np.zeros(x.shape[1]), np.where(y == 1, OURS_COUNT, 1.0)
    for _ in range(STEPS):
        sure = 1 / (1 + np.exp(-x @ weights))
        slope = x.T @ (counts * (y - sure)) - RIDGE * weights
        bend = (x * (counts * sure * (1 - sure))[:, None]).T @ x + RIDGE * np.eye(len(weights))
        weights = weights + np.linalg.solve(bend, slope)
    return weights


def main() -> None:
    found = rows(Answerer(open_book(shipped_folder())))
    x = np.array([[1.0, *astuple(evidence)] for evidence, _ in found])
    y = np.array([float(ours) for _, ours in found])
    weights = fitted(x, y)
    least = float(np.log(REFUSED_BELOW / (1 - REFUSED_BELOW)) - weights[0])
    names = [field.name for field in fields(Evidence)]
    print("WEIGHTS:", ", ".join(f"{n}={w:.2f}" for n, w in zip(names, weights[1:], strict=True)))
    print(f"LEAST: {least:.2f}")
    sure = x[:, 1:] @ weights[1:]
    print(f"{int(y.sum())} of ours, refused {np.mean(sure[y == 1] < least):.3f}")
    print(f"{int((1 - y).sum())} others that no topic refuses, refused {np.mean(sure[y == 0] < least):.3f}")


if __name__ == "__main__":
    main()
