"""Where a book has nothing to say: questions without a page, findings from which nothing follows."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from toeroom.answers.answering import Answerer
from toeroom.book import Book
from toeroom.case import Case, Place, read_case
from toeroom.errors import BadInput
from toeroom.plan import Match
from toeroom.rules.planning import Outcome
from toeroom.upkeep.recording import case_files
from toeroom.yamltree import read_text

WEAK = 0.4
"""Below this share of a question's words found on the best page, five of fifteen answers were right on the
development questions; above it, nine in ten."""
QUESTION_KEYS = ("question", "text")


@dataclass(frozen=True, slots=True)
class AskedGap:
    """A question without a page (`page` ''), or hardly one: `share` of its words was found on it."""

    question: str
    page: str
    share: float


@dataclass(frozen=True, slots=True)
class FindingGap:
    """A finding that is there in `cases`, and `what` it lacks: a rule that reads it, or a consequence."""

    id: str
    what: str
    cases: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Gaps:
    """What was looked at, and where nothing was found. refused: questions that are no fitter's."""

    questions: int
    refused: int
    cases: int
    asked: tuple[AskedGap, ...]
    findings: tuple[FindingGap, ...]


def gaps(book: Book, paths: Sequence[Path]) -> Gaps:
    """The gaps that these files show: questions (`.txt`, a line each; `.jsonl`), cases (`.yaml`, folders)."""
    questions: list[str] = []
    cases: list[Case] = []
    for path in paths:
        if path.suffix in (".txt", ".jsonl"):
            questions += questions_in(path)
        else:
            files = case_files(path) if path.is_dir() else [path]
            cases += [read_case(file, book.vocabulary) for file in files]
    refused, asked = _asked(book, questions) if questions else (0, ())
    return Gaps(len(questions), refused, len(cases), asked, tuple(_findings(book, cases)))


def questions_in(path: Path) -> list[str]:
    """The questions of a file: a line each, or of JSON lines what stands under `question` or `text`."""
    lines = [line.strip() for line in read_text(path, largest=10_000_000).splitlines()]
    numbered = [(number, line) for number, line in enumerate(lines, 1) if line]
    if path.suffix == ".txt":
        return [line for _, line in numbered if not line.startswith("#")]
    return [_question(line, path, number) for number, line in numbered]


def _question(line: str, path: Path, number: int) -> str:
    try:
        told = json.loads(line)
    except ValueError:
        told = None
    found = (
        next((told[key] for key in QUESTION_KEYS if key in told), None) if isinstance(told, dict) else None
    )
    if not isinstance(found, str):
        raise BadInput("holds no question", file=str(path), line=number, mend='write {"question": "…"}')
    return found


def _asked(book: Book, questions: Iterable[str]) -> tuple[int, tuple[AskedGap, ...]]:
    answerer = Answerer(book)
    refused, found = 0, []
    for question in questions:
        reply = answerer.reply(question)
        hits = answerer.handbook.search(question, limit=1).hits
        share = hits[0].coverage if hits else 0.0
        if reply.abstained and reply.said != answerer.refusals.nothing:
            refused += 1
        elif reply.abstained:
            found.append(AskedGap(question, "", share))
        elif share < WEAK:
            found.append(AskedGap(question, reply.answers[0].page, share))
    return refused, tuple(sorted(found, key=lambda gap: (gap.page != "", gap.share)))


# --- cases ----------------------------------------------------------------------------------------
def _findings(book: Book, cases: Iterable[Case]) -> Iterator[FindingGap]:
    unread: dict[str, list[str]] = {}
    without: dict[str, list[str]] = {}
    for case in cases:
        outcome = book.planner.run(case)
        read, led = _followed(book, case, outcome)
        for place in sorted(p for p, value in case.findings.items() if value == "yes"):
            if place not in read:
                unread.setdefault(place[0], []).append(case.id)
            elif place not in led:
                without.setdefault(place[0], []).append(case.id)
    for what, found in (("no rule spoke on it", unread), ("nothing in the plan followed", without)):
        for finding, ids in sorted(found.items(), key=lambda pair: (-len(pair[1]), pair[0])):
            yield FindingGap(finding, what, tuple(dict.fromkeys(ids)))


def _followed(book: Book, case: Case, outcome: Outcome) -> tuple[set[Place], set[Place]]:
    """The findings that rules which spoke had found, and those that led on to something in the plan."""
    explainer = book.planner.explainer(case, outcome)
    rests_on: dict[Place, set[Place]] = {}
    reached: list[Place] = []
    for rule_id, side in outcome.fired | outcome.read:
        rule = book.planner.by_id[rule_id]
        found = {place for match in explainer.matched(rule, side) for place in _places(match)}
        given = [i for i, _ in (*rule.then.conclude, *rule.then.reads, *rule.then.corrects)]
        for term_id in given:
            place = (term_id, side if book.vocabulary.by_id[term_id].scope == "foot" else "person")
            rests_on.setdefault(place, set()).update(found)
        rests_on.setdefault((rule_id, side), set()).update(found)
        then = rule.then
        if then.advise or then.advise_person or then.hold_back or then.cautions or then.ask or then.detail:
            reached.append((rule_id, side))
    reached += [place for place in rests_on if place[0] in _SHOWN]
    led: set[Place] = set()
    while reached:
        place = reached.pop()
        if place not in led:
            led.add(place)
            reached += rests_on.get(place, ())
    return {place for found in rests_on.values() for place in found}, led


_SHOWN = {"no_fitting_today", "urgent_referral", "ulcer_risk"}
"""States that a plan shows by themselves."""


def _places(match: Match) -> Iterator[Place]:
    yield match.id, match.side
    for inner in match.from_:
        yield from _places(inner)
