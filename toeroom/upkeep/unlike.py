"""Whether two books can differ on a case at all, told from what one of them concluded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection

from toeroom.rules.fixpoint import Holds, speaks
from toeroom.rules.model import Rule, tests_of
from toeroom.rules.planning import Outcome, Planner


class Unlike:
    """The rules in which two books differ, ready to be tried on what the new book concluded.

    Where each of them speaks, by the old book, exactly where it spoke by the new one, the conclusions
    of the new book are those of the old one too: within a step rules only add. That fails where a rule
    leads back to itself, and where findings are read otherwise; then both books have to be run.
    """

    def __init__(self, old: Planner, new: Planner, unlike: Collection[str]) -> None:
        self.tried: list[tuple[tuple[str, str], Holds | None]] = []
        self.closes = [key for layer in old.layers for key in layer.closes]
        rules = [planner.by_id[i] for i in unlike for planner in (old, new) if i in planner.by_id]
        self.never_told = any(rule.when_it_runs == (0, 0) for rule in rules) or any(
            _leads_back(rule, planner)
            for i in unlike
            for planner in (old, new)
            if (rule := planner.by_id.get(i)) is not None
        )
        for rule_id in sorted(unlike):
            before, after = old.by_id.get(rule_id), new.by_id.get(rule_id)
            sides = sorted({*(before.sides if before else ()), *(after.sides if after else ())})
            for side in sides:
                holds = speaks(before, side) if before is not None and side in before.sides else None
                self.tried.append(((rule_id, side), holds))

    def possible(self, after: Outcome, says_other: Collection[str]) -> bool:
        """Whether the old book may have concluded, or said, something else; no is certain.

        `says_other`: the rules that say something else where they speak.
        """
        if self.never_told:
            return True
        facts = after.facts
        for key in self.closes:
            facts.setdefault(key, "no")
        for name, holds in self.tried:
            spoke = name in after.fired
            if (holds is not None and holds(facts)) != spoke or (spoke and name[0] in says_other):
                return True
        return False


def _leads_back(rule: Rule, planner: Planner) -> bool:
    """Whether what a rule concludes leads, by way of other rules, to what it looks at."""
    looking: dict[str, list[Rule]] = defaultdict(list)
    for other in planner.rules:
        for test in tests_of(other.when):
            looking[test.id].append(other)
    waiting, seen = [rule], set[str]()
    while waiting:
        for name in _given(waiting.pop()):
            for other in looking[name]:
                if other.id == rule.id:
                    return True
                if other.id not in seen:
                    seen.add(other.id)
                    waiting.append(other)
    return False


def _given(rule: Rule) -> set[str]:
    return {i for i, _ in rule.then.conclude} | {*rule.then.advise, *rule.then.advise_person}
