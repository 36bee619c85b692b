"""What notices that a rule was changed: the rules' examples, and cases whose plan is kept.

A folder of case files may hold `plans.yaml`: the plans as they were agreed on. Where it does not,
the plan is the one that the book gives today.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.errors import BadInput, BookFault
from toeroom.plan import Plan
from toeroom.rules.planning import Outcome, Planner
from toeroom.upkeep.examples import example_case
from toeroom.vocabulary import PERSON, Vocabulary
from toeroom.yamltree import Node, read

PLANS = "plans.yaml"
Kept = dict[str, tuple[str, ...]]
"""A plan as it is kept: place (`extra_width@left`) to its standing, figures and cautions as texts."""


@dataclass(frozen=True, slots=True)
class Example:
    """A case and what must come of it: a rule speaks or is silent on a side, or a plan is as kept."""

    name: str
    case: Case
    rule: str = ""
    side: str = ""
    speaks: bool = True
    plan: Kept | None = None

    def holds(self, planner: Planner, outcome: Outcome) -> bool:
        """Whether what the rules concluded is what the example says."""
        if self.plan is not None:
            return kept(planner.plan_of(self.case, outcome), planner.vocabulary) == self.plan
        return ((self.rule, self.side) in outcome.read | outcome.fired) == self.speaks


def kept(plan: Plan, vocabulary: Vocabulary) -> Kept:
    """What is kept of a plan: its stop, items, figures, states, and the cautions that rules gave."""
    cautions = tuple(sorted(set(plan.cautions) - set(vocabulary.cautions)))
    found: Kept = {"stop": ("yes" if plan.stop else "no",)}
    if cautions:
        found["cautions"] = cautions
    for line in plan.lines:
        figures = tuple(f"{name} {value}" for name, value in sorted(line.detail.items()))
        by_rules = sorted(set(line.cautions) - set(vocabulary.plan_items[line.id].cautions))
        found[f"{line.id}@{line.side}"] = (line.standing, *figures, *by_rules)
    for state in plan.states:
        if state.shown:
            provisional = ("provisional",) if state.provisional else ()
            # A state that two rules conclude differently is kept with both values.
            so_far = found.get(f"{state.id}@{state.side}", ())
            found[f"{state.id}@{state.side}"] = (*so_far, state.value, *provisional)
    return found


def rule_examples(book: Book) -> list[Example]:
    """The examples written in the rules. Raises `BookFault` where one is no case."""
    found = []
    for rule in book.rules:
        side = PERSON if rule.about == PERSON else "left"
        for kind in ("fires", "silent"):
            case = example_case(rule, kind, book.vocabulary)
            found.append(Example(f"{rule.id}, {kind}", case, rule.id, side, kind == "fires"))
    return found


def case_files(folder: Path) -> list[Path]:
    """The case files of a folder, by name."""
    return sorted(path for path in folder.glob("*.yaml") if path.name != PLANS)


def case_examples(book: Book, folders: Iterable[Path]) -> list[Example]:
    """The cases of the folders, each with its kept plan, or with the plan of today where none is kept."""
    found = []
    for folder in folders:
        plans = read_plans(folder / PLANS) if (folder / PLANS).is_file() else {}
        for path in case_files(folder):
            case = read_case(path, book.vocabulary)
            plan = plans.get(case.id) or kept(book.planner.plain_plan(case), book.vocabulary)
            found.append(Example(path.name, case, plan=plan))
    return found


def own_folders(book: Book, extra: Sequence[Path] = ()) -> list[Path]:
    """The folders of cases beside the book, then those given besides."""
    for folder in extra:
        if not folder.is_dir():
            raise BadInput("there is no such folder", file=str(folder), mend="name a folder of case files")
    return [*([book.cases_demo] if book.cases_demo.is_dir() else []), *extra]


def examples_of(book: Book, extra: Sequence[Path] = ()) -> list[Example]:
    """Every example: those in the rules, then the case files beside the book and in `extra`."""
    return [*rule_examples(book), *case_examples(book, own_folders(book, extra))]


def broken_plans(book: Book, extra: Sequence[Path] = ()) -> list[BookFault]:
    """A fault for every case whose plan is no longer the one that is kept."""
    faults = []
    for example in case_examples(book, own_folders(book, extra)):
        now = kept(book.planner.plain_plan(example.case), book.vocabulary)
        for place in sorted(now.keys() | (example.plan or {}).keys()):
            was, found = (plan.get(place, ("absent",)) for plan in (example.plan or {}, now))
            if was != found:
                what = f"'{place}' was agreed to be {'; '.join(was)}, and is {'; '.join(found)}"
                faults.append(BookFault(what, file=example.name, mend="mend the rules, or agree on it anew"))
    return faults


# --- plans.yaml -----------------------------------------------------------------------------------
def read_plans(path: Path) -> dict[str, Kept]:
    """The kept plans of a file, by case id."""
    tree = read(path, largest=4_000_000)
    return {case: _kept(node, path) for case, node in _mapping(tree, path).items()}


def _kept(node: Node, path: Path) -> Kept:
    found: Kept = {}
    for place, inner in _mapping(node, path).items():
        texts = inner.plain()
        if not isinstance(texts, list):
            raise BookFault(
                "a list of texts is wanted here", file=str(path), line=inner.line, mend="write [advised]"
            )
        found[place] = tuple(str(text) for text in texts)
    return found


def _mapping(node: Node, path: Path) -> dict[str, Node]:
    if not isinstance(node.value, dict):
        raise BookFault(
            "'name: value' lines are wanted here", file=str(path), line=node.line, mend="see docs/upkeep.md"
        )
    return node.value


def plans_as_yaml(plans: dict[str, Kept]) -> str:
    """The text of `plans.yaml`."""
    lines = []
    for case, plan in sorted(plans.items()):
        lines.append(f"{case}:")
        for place, texts in sorted(plan.items()):
            quoted = ", ".join('"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"' for text in texts)
            lines.append(f"  {place}: [{quoted}]")
    return "\n".join(lines) + "\n"
