"""From a case to a plan, worked out twice."""

from __future__ import annotations

from dataclasses import dataclass

from toeroom.case import Case, Place
from toeroom.errors import EnginesDiffer
from toeroom.plan import Line, Plan, Reason, State
from toeroom.rules.engine import Engine
from toeroom.rules.explaining import Explainer, Read
from toeroom.rules.facts import FactMaker, Facts
from toeroom.rules.fixpoint import Fired, Fixpoint
from toeroom.rules.model import Caution, Rule
from toeroom.rules.strata import layers, split_reading
from toeroom.vocabulary import PERSON, SECTIONS, SIDES, Vocabulary

ORDER_OF_SIDES = (*SIDES, PERSON)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the rules concluded: final facts, and the rules that spoke, by side."""

    facts: Facts
    findings: dict[Place, str]
    read: frozenset[Fired]
    fired: frozenset[Fired]


class Planner:
    """The rules of a book, ready for cases. `checked` plans by both engines."""

    def __init__(self, rules: tuple[Rule, ...], vocabulary: Vocabulary, version: str) -> None:
        self.rules, self.vocabulary, self.version = rules, vocabulary, version
        self.by_id = {rule.id: rule for rule in rules}
        self.rank = {rule.id: number for number, rule in enumerate(rules)}
        reading, others = split_reading(rules)
        self.facts = FactMaker(rules, vocabulary)
        self.reading, self.layers = layers(reading, vocabulary), layers(others, vocabulary)
        self.plain_reading = Fixpoint(self.reading, vocabulary)
        self.plain = Fixpoint(self.layers, vocabulary)
        self._engines: tuple[Engine, Engine] | None = None

    @property
    def engines(self) -> tuple[Engine, Engine]:
        """The durable_rules engines for reading and for the rest, built when first needed."""
        if self._engines is None:
            self._engines = Engine(self.reading, self.vocabulary), Engine(self.layers, self.vocabulary)
        return self._engines

    # --- running ---------------------------------------------------------------------------------
    def run(self, case: Case, numbers: Facts | None = None) -> Outcome:
        """The outcome by the plain engine alone."""
        numbers = self.facts.numbers(case) if numbers is None else numbers
        facts = self.facts.facts(case, case.findings, numbers)
        read = self.plain_reading.run(facts)
        findings = self._read(case, read)
        if findings is not case.findings:
            facts = self.facts.facts(case, findings, numbers)
        fired = self.plain.run(facts)
        return Outcome(facts, findings, read, fired)

    def _read(self, case: Case, read: frozenset[Fired]) -> dict[Place, str]:
        """The findings with blanks filled and corrections made; the very same dict where there are none."""
        filled: dict[Place, str] = {}
        for rule_id, side in read:
            then = self.by_id[rule_id].then
            for pairs, over in ((then.reads, False), (then.corrects, True)):
                for term_id, value in pairs:
                    place = (term_id, side if self.vocabulary.by_id[term_id].scope == "foot" else PERSON)
                    stated = case.finding(*place)
                    if (stated == "unknown" or (over and stated != value)) and filled.get(place) != "yes":
                        filled[place] = value
        return {**case.findings, **filled} if filled else case.findings

    def plan(self, case: Case) -> Plan:
        """The plan of a case, worked out by both engines.

        Raises `EnginesDiffer` where they do not agree: then there is no plan.
        """
        outcome = self.run(case)
        reading_engine, engine = self.engines
        read = reading_engine.run(self.facts.facts(case, case.findings))
        fired = engine.run(self.facts.facts(case, self._read(case, read)))
        if (read, fired) != (outcome.read, outcome.fired):
            raise EnginesDiffer(self._difference(case, outcome, read, fired))
        return self.plan_of(case, outcome)

    def plain_plan(self, case: Case) -> Plan:
        """The plan by the plain engine alone: for batches and what-ifs, not for showing as a plan."""
        return self.plan_of(case, self.run(case))

    def _difference(
        self, case: Case, outcome: Outcome, read: frozenset[Fired], fired: frozenset[Fired]
    ) -> dict[str, object]:
        plain, other = outcome.read | outcome.fired, read | fired
        return {
            "case": case.id,
            "book": self.version,
            "only_plain_engine": sorted(plain - other),
            "only_durable_rules": sorted(other - plain),
            "facts": dict(sorted(self.facts.facts(case, outcome.findings).items())),
        }

    # --- from what spoke to a plan -----------------------------------------------------------------
    def explainer(self, case: Case, outcome: Outcome) -> Explainer:
        """For looking back over an outcome."""
        stated = Explainer(self.vocabulary, case, self.facts.facts(case, case.findings), {})
        read: Read = {}
        for rule_id, side in sorted(outcome.read):
            rule = self.by_id[rule_id]
            for term_id, value in (*rule.then.reads, *rule.then.corrects):
                place = (term_id, side)
                if outcome.findings.get(place) == value and case.finding(*place) != value:
                    read[place] = (rule_id, stated.matched(rule, side))
        return Explainer(self.vocabulary, case, outcome.facts, read)

    def plan_of(self, case: Case, outcome: Outcome) -> Plan:
        """The plan that an outcome makes."""
        return _Maker(self, case, outcome).plan()


class _Maker:
    """Gathers what the rules that spoke give, by place."""

    def __init__(self, planner: Planner, case: Case, outcome: Outcome) -> None:
        self.planner, self.case, self.outcome = planner, case, outcome
        self.vocabulary = planner.vocabulary
        self.explainer = planner.explainer(case, outcome)
        fired = sorted(outcome.fired, key=lambda f: (planner.rank[f[0]], ORDER_OF_SIDES.index(f[1])))
        self.spoke = [(planner.by_id[rule_id], side) for rule_id, side in fired]
        self.reasons = {(rule.id, side): self._reason(rule, side) for rule, side in self.spoke}
        self.advised: dict[Place, list[tuple[Rule, str]]] = {}
        self.held: dict[Place, list[tuple[Rule, str]]] = {}
        self.states: dict[tuple[str, str, str], list[Reason]] = {}
        for rule, side in self.spoke:
            self._gather(rule, side)

    def _reason(self, rule: Rule, side: str) -> Reason:
        return Reason(rule.id, rule.title, self.explainer.matched(rule, side))

    def _gather(self, rule: Rule, side: str) -> None:
        for item in rule.then.advise:
            self.advised.setdefault((item, side), []).append((rule, side))
        for item in rule.then.advise_person:
            self.advised.setdefault((item, PERSON), []).append((rule, side))
        for item in rule.then.hold_back:
            self.held.setdefault((item, side), []).append((rule, side))
        for term_id, value in rule.then.conclude:
            place = side if self.vocabulary.derived[term_id].scope == "foot" else PERSON
            self.states.setdefault((term_id, place, value), []).append(self.reasons[rule.id, side])

    def plan(self) -> Plan:
        cautions, on_plan = self._cautions()
        lines = tuple(
            self._line(place, cautions.get(place, [])) for place in sorted(self.advised, key=self._order)
        )
        states = self._states()
        concluded = {(s.id, s.side) for s in states}
        return Plan(
            case=self.case.id,
            title=self.case.title,
            as_of=self.case.as_of,
            stop=bool({i for i, _ in concluded} & {"no_fitting_today", "urgent_referral"}),
            lines=lines,
            states=states,
            cautions=(*on_plan, *self.vocabulary.cautions),
            deferral=self.vocabulary.deferral,
            book_rules=len(self.planner.rules),
            book_version=self.planner.version,
            by_place={(line.id, line.side): line for line in lines},
        )

    def _order(self, place: Place) -> tuple[int, int, int]:
        item = self.vocabulary.plan_items[place[0]]
        return SECTIONS.index(item.section), item.rank, ORDER_OF_SIDES.index(place[1])

    def _line(self, place: Place, cautions: list[str]) -> Line:
        item = self.vocabulary.plan_items[place[0]]
        by, held = self.advised[place], self.held.get(place, [])
        rules = [rule for rule, _ in by]
        detail: dict[str, int | float | str] = {}
        for rule, side in by:
            detail.update(self._detail(rule, side, item.id))
        return Line(
            id=item.id,
            side=place[1],
            section=item.section,
            label=item.label,
            act=item.act,
            by=item.by,
            standing="held_back" if held else "advised",
            reasons=tuple(self.reasons[rule.id, side] for rule, side in by),
            held_back_by=tuple(self.reasons[rule.id, side] for rule, side in held),
            cautions=tuple(dict.fromkeys((*cautions, *item.cautions))),
            pages=tuple(dict.fromkeys((item.page, *item.pages, *(p for rule in rules for p in rule.pages)))),
            sources=tuple(dict.fromkeys(str(source) for rule in rules for source in rule.sources)),
            detail=detail,
            routine=item.routine,
        )

    def _detail(self, rule: Rule, side: str, item: str) -> dict[str, int | float | str]:
        """The numbers and days of an item that are known; a figure stands for itself."""
        found: dict[str, int | float | str] = {}
        for name, value in next((pairs for i, pairs in rule.then.detail if i == item), ()):
            term_id, _, at = value.partition("@")
            stated = term_id in self.vocabulary.by_id
            known = self._value(term_id, at or side) if stated else value
            if stated and isinstance(known, str):
                found[name] = known
            elif known is not None:
                number = round(float(known), 3)
                found[name] = int(number) if number.is_integer() else number
        return found

    def _value(self, term_id: str, side: str) -> str | float | None:
        """The fact of a measure or calculation for `side`, or of the person."""
        facts = self.outcome.facts
        return facts.get(f"{side}.{term_id}", facts.get(f"{PERSON}.{term_id}"))

    def _cautions(self) -> tuple[dict[Place, list[str]], list[str]]:
        """Cautions by plan line, and those on the whole plan."""
        on_lines: dict[Place, list[str]] = {}
        on_plan: list[str] = []
        for rule, side in self.spoke:
            for caution in rule.then.cautions:
                text = self._filled(caution, side)
                places = self._places(caution, rule, side)
                for place in places:
                    on_lines.setdefault(place, []).append(text)
                if not places and not caution.on and text not in on_plan:
                    on_plan.append(text)
        for rule_id, _ in sorted(self.outcome.read):
            on_plan += [c.text for c in self.planner.by_id[rule_id].then.cautions if c.text not in on_plan]
        return on_lines, on_plan

    def _places(self, caution: Caution, rule: Rule, side: str) -> list[Place]:
        if caution.on:
            sides = ORDER_OF_SIDES if side == PERSON else (side, PERSON)
            return [(item, s) for item in caution.on for s in sides if (item, s) in self.advised]
        # One caution of a rule that gives several items stands on the first, not on each.
        own = [*((i, side) for i in rule.then.advise), *((i, PERSON) for i in rule.then.advise_person)]
        return own[:1]

    def _filled(self, caution: Caution, side: str) -> str:
        text = caution.text
        for term_id in caution.named:
            value = self._value(term_id, side)
            shown = f"{value:g}" if isinstance(value, float) else value or "unknown"
            text = text.replace(f"{{{term_id}}}", shown)
        return text

    def _states(self) -> tuple[State, ...]:
        found = []
        for term_id, derived in self.vocabulary.derived.items():
            for side in self.vocabulary.sides_of(term_id):
                for value in derived.one_of or ("yes",):
                    reasons = self.states.get((term_id, side, value))
                    if reasons:
                        provisional = (derived.provisional_if, PERSON, "yes") in self.states
                        state = State(
                            term_id, side, derived.label, value, tuple(reasons), provisional, derived.shown
                        )
                        found.append(state)
        return tuple(found)
