"""The debrief: each decision beside the plan's, why, what was left unasked, and what to read.

It is made as blocks, which text, Markdown, HTML and the app each show in their way.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from toeroom.case import Place
from toeroom.errors import one_line
from toeroom.plan import Line, Plan, Reason
from toeroom.sheet import make_sheet
from toeroom.training.marking import HURRY, STOPPING, Mark, Moment
from toeroom.training.scheme import mark_in_words
from toeroom.training.unfolding import Fact
from toeroom.training.walk import Step, Walk
from toeroom.vocabulary import PERSON, Term, Vocabulary
from toeroom.wording import SECTION_TITLES, because, in_a_sentence, number_in_words, printable, sides_in_words

Kind = Literal[
    "title", "heading", "text", "right", "missed", "harmful", "needless", "item", "caution", "pages", "end"
]
SIGNS = {"right": "+", "missed": "-", "harmful": "!", "needless": "~", "item": "·", "caution": "!"}
"""What stands before a line, so that no meaning rests on colour."""
VERDICT_WORDS = {"right": "right", "missed": "missed", "harmful": "harmful", "needless": "needless"}
HARM_WORDS = {
    "went on": "went on where the plan stops",
    "too slow": "referred later than today",
    "held back": "the plan holds this back",
    "warned against": "the plan warns against this",
    "the opposite": "the plan says the opposite",
}
MOST_PAGES = 8
MOST_CAUTIONS = 5
MOST_QUESTIONS_SHOWN = 3


@dataclass(frozen=True, slots=True)
class Block:
    """One line or paragraph. `more` is what explains it, shown more quietly."""

    kind: Kind
    text: str
    more: str = ""


def debrief(walk: Walk, *, trainee: str = "", seconds: float | None = None) -> tuple[Block, ...]:
    """The debrief of a walk, as far as it has come."""
    return tuple(_Writer(walk, trainee, seconds).blocks())


class _Writer:
    def __init__(self, walk: Walk, trainee: str, seconds: float | None) -> None:
        self.walk, self.trainee, self.seconds = walk, trainee, seconds
        self.planner, self.vocabulary = walk.planner, walk.planner.vocabulary
        self.lesson = walk.case.lesson

    def blocks(self) -> Iterator[Block]:
        yield from self.head()
        yield from self.harm()
        for number, step in enumerate(self.walk.steps, 1):
            yield from self.stage(number, step)
        if self.walk.steps:
            yield from self.in_the_end(self.walk.steps[-1])
            yield from self.hidden()
            yield from self.to_the_wearer(self.walk.steps[-1])
            yield from self.reading()
            yield from self.minded(self.walk.steps[-1].moment.plan)
        yield Block("end", self.vocabulary.deferral)

    def head(self) -> Iterator[Block]:
        case, tally = self.walk.case, self.walk.tally
        yield Block("title", f"Debrief: {printable(case.title) or case.id}")
        facts = [f"case {case.id}", case.grade, f"trainee {self.trainee}" if self.trainee else ""]
        yield Block("text", " · ".join(f for f in facts if f))
        points = self.walk.score
        told = [f"questions: {len(self.walk.asked)}"]
        if self.seconds is not None:
            told.append(f"minutes: {round(self.seconds / 60)} (not marked)")
        yield Block(
            "text",
            f"Score {points}: {mark_in_words(points)}.",
            f"decided {tally.decided_share:.0%} of what the plan holds; asked {tally.asked_share:.0%} "
            f"of what was worth asking; {', '.join(told)}",
        )
        if case.teaches:
            yield Block("text", printable(case.teaches))

    # --- harm ----------------------------------------------------------------------------------------
    def harm(self) -> Iterator[Block]:
        """Each harmful act once, at the stage where it was first done; those with one reason together."""
        groups: dict[tuple[str, str, str, str], list[Mark]] = {}
        seen: set[tuple[str, str, str]] = set()
        for step in self.walk.steps:
            for mark in step.marks:
                key = (mark.item, mark.side, mark.kind)
                if mark.verdict == "harmful" and key not in seen:
                    seen.add(key)
                    why = self.reason_of_harm(step.moment, mark)
                    groups.setdefault((step.stage.title, mark.kind, mark.side, why), []).append(mark)
        if groups:
            yield Block("heading", "What could have hurt")
        for (stage, kind, side, why), marks in groups.items():
            where = f", {side}" if side != PERSON else ""
            items = self.vocabulary.plan_items
            labels = ", ".join(items[mark.item].label for mark in marks if mark.item in items)
            what = f"{HARM_WORDS[kind]}{f': {labels}' if labels else ''}"
            yield Block("harmful", f"{stage}{where}: {what}", why)

    def reason_of_harm(self, moment: Moment, mark: Mark) -> str:
        """What led the rules to it, down to what was known, with the sources."""
        stopped = moment.stopped if mark.side == PERSON else moment.stopped & {mark.side}
        if mark.item in (STOPPING, HURRY):
            return self.why_stopped(moment, mark.side)
        if stopped and mark.kind == "held back":
            return "; ".join(
                f"{_sides({s})} not fitted today: {self.why_stopped(moment, s)}" for s in sorted(stopped)
            )
        plan = moment.plan
        if mark.kind == "the opposite":
            lines = _lines(plan, self.vocabulary.plan_items[mark.item].opposite, [mark.side])
            return self.told(plan, [r for line in lines for r in line.reasons], [mark.side])
        rules = [rule for rule, _ in moment.outcome.fired if mark.item in self._ruled_out_by(rule)]
        return self.told(plan, [self.reason(moment, rule, mark.side) for rule in sorted(rules)], [mark.side])

    def _ruled_out_by(self, rule: str) -> tuple[str, ...]:
        then = self.planner.by_id[rule].then
        return (*then.hold_back, *then.rules_out)

    def reason(self, moment: Moment, rule_id: str, side: str) -> Reason:
        rule = self.planner.by_id[rule_id]
        explainer = self.planner.explainer(moment.known, moment.outcome)
        return Reason(rule.id, rule.title, explainer.matched(rule, side))

    def why_stopped(self, moment: Moment, side: str) -> str:
        wanted = {("no_fitting_today", side)} if side != PERSON else {("urgent_referral", PERSON)}
        reasons = [r for s in moment.plan.states if (s.id, s.side) in wanted for r in s.reasons]
        return self.told(moment.plan, reasons, [side])

    def told(self, plan: Plan, reasons: Iterable[Reason], sides: Iterable[str]) -> str:
        """Reasons in words, down to what was known, then the sources of their rules."""
        reasons = list(reasons)
        causes = because(reasons, plan, self.vocabulary, sides)
        sources = dict.fromkeys(str(s) for r in reasons for s in self.planner.by_id[r.rule].sources)
        titles = dict.fromkeys(r.title for r in reasons)
        parts = [causes or "; ".join(titles), f"source: {'; '.join(sources)}" if sources else ""]
        return "; ".join(part for part in parts if part)

    # --- stage by stage ------------------------------------------------------------------------------
    def stage(self, number: int, step: Step) -> Iterator[Block]:
        yield Block("heading", f"{number}. {step.stage.title}")
        before = self.walk.steps[number - 2] if number > 1 else None
        decided, planned = self.decided(step, before), self.planned(step.moment)
        yield Block("text", f"You: {decided}")
        same = before is not None and planned == self.planned(before.moment)
        yield Block("text", f"The plan then: {'as before' if same else planned}")
        if step.asked:
            asked = ", ".join(
                f"{in_a_sentence(a.term.label)} ({number_in_words(a.worth)})" for a in step.asked
            )
            yield Block("text", f"Asked, with its worth then: {asked}")
        if step.left:
            left = ", ".join(
                f"{in_a_sentence(term.label)} ({number_in_words(worth)})"
                for term, worth in sorted(step.left, key=lambda pair: -pair[1])[:MOST_QUESTIONS_SHOWN]
            )
            yield Block("missed", f"Still worth asking: {left}")
        if step.best is not None:
            yield Block("item", f"Best next question: {step.best.text}", step.best.why)
        if note := self.lesson.notes.get(step.stage.id):
            yield Block("text", f"The trainer: {printable(note)}")

    def decided(self, step: Step, before: Step | None) -> str:
        """The stop, and what was chosen and dropped at this stage."""
        decision = step.decision
        was = before.decision.items if before else frozenset()
        words = ["go on"]
        if decision.stop:
            words = [f"stop {_sides(decision.stop)}, refer {decision.how_fast}"]
        for verb, places in (("chose", decision.items - was), ("dropped", was - decision.items)):
            if places:
                words.append(f"{verb} {' · '.join(places_in_words(places, self.vocabulary))}")
        return "; ".join(words)

    def planned(self, moment: Moment) -> str:
        plan = moment.plan
        words = [f"stop {_sides(moment.stopped)}" if moment.stopped else "go on"]
        if moment.stopped:
            words.append("refer today" if moment.urgent else "refer soon")
        advised = sum(1 for line in plan.lines if line.advised)
        held = len(plan.lines) - advised
        words.append(f"{advised} advised" + (f", {held} held back" if held else ""))
        if moment.stopped:
            words.append(self.why_stopped(moment, min(moment.stopped)))
        return "; ".join(words)

    # --- the end -------------------------------------------------------------------------------------
    def in_the_end(self, step: Step) -> Iterator[Block]:
        """Every decision as it stood in the end beside the plan's, by section."""
        yield Block("heading", "In the end, beside the plan")
        plan, items = step.moment.plan, self.vocabulary.plan_items
        groups: dict[tuple[str, str, str], list[Mark]] = {}
        for mark in step.marks:
            if mark.verdict != "harmful":
                groups.setdefault((mark.item, mark.verdict, mark.kind), []).append(mark)
        for (item, verdict, _), marks in groups.items():
            sides = [mark.side for mark in marks]
            words = sides_in_words(sides)
            if item in (STOPPING, HURRY):
                label = "Stop" if item == STOPPING else "Refer today"
                why = "" if verdict == "needless" else self.why_stopped(step.moment, sides[0])
            else:
                label = f"{SECTION_TITLES[items[item].section]}: {items[item].label}"
                why = self.why_item(plan, item, sides, verdict)
            text = f"{label}{f', {words}' if words else ''}: {VERDICT_WORDS[verdict]}"
            yield Block(marks[0].verdict, text, why)

    def why_item(self, plan: Plan, item: str, sides: list[str], verdict: str) -> str:
        lines = _lines(plan, item, sides)
        if verdict == "needless":
            return "nothing known then calls for it"
        reasons = [reason for line in lines for reason in line.reasons]
        act = "" if verdict == "right" or not lines else f"{lines[0].act} "
        return act + f"({self.told(plan, reasons, sides)})" if reasons else act

    def hidden(self) -> Iterator[Block]:
        """What never came to light. It is told, never marked: nobody decides by what they cannot know."""
        walk = self.walk
        never = walk.unfolding.never_known(walk.stage, walk.asked_ids)
        if not never:
            return
        yield Block("heading", "What never came to light (not marked)")
        groups: dict[tuple[str, str], list[Fact]] = {}
        for fact in never:
            value = "" if fact.value == "yes" else f" {fact.value} {getattr(fact.term, 'unit', '')}".rstrip()
            groups.setdefault((fact.term.label, value), []).append(fact)
        for (label, value), facts in groups.items():
            sides = sides_in_words(fact.side for fact in facts)
            yield Block("item", f"{label}{value}{f', {sides}' if sides else ''}")
        whole = self.planner.plan(walk.case)
        if whole.stop and not walk.steps[-1].moment.plan.stop:
            headline = make_sheet(whole, self.vocabulary).headline
            yield Block("caution", f"With this the plan stops: {headline}.")

    def to_the_wearer(self, step: Step) -> Iterator[Block]:
        items = self.vocabulary.plan_items
        tells = dict.fromkeys(
            items[line.id].tell for line in step.moment.plan.lines if line.advised and items[line.id].tell
        )
        said = printable(" ".join(step.decision.say.split()))
        if not (said or tells or self.lesson.say):
            return
        yield Block("heading", "To the wearer (not marked)")
        if said:
            yield Block("text", f"You said: {said}")
        for tell in tells:
            yield Block("text", f"The plan says: {tell}")
        if self.lesson.say:
            yield Block("text", f"The trainer says: {printable(self.lesson.say)}")

    def reading(self) -> Iterator[Block]:
        """The pages on what went wrong and on what was worth asking; else those of the case."""
        items, terms = self.vocabulary.plan_items, self.walk.unfolding.terms
        wrong = [m.item for m in self.walk.marks if m.verdict in ("harmful", "missed")]
        pages = [items[i].page if i in items else "when-to-stop-fitting" for i in wrong]
        left = sorted((pair for s in self.walk.steps for pair in s.left), key=lambda pair: -pair[1])
        pages += [terms[term.id].page for term, _ in left[:MOST_QUESTIONS_SHOWN]]
        if not pages:
            pages = [p for line in self.walk.steps[-1].moment.plan.lines for p in line.pages[:1]]
        yield Block("heading", "To read")
        yield Block("pages", ", ".join(list(dict.fromkeys(p for p in pages if p))[:MOST_PAGES]))

    def minded(self, plan: Plan) -> Iterator[Block]:
        """The cautions on what was chosen wrongly or missed, then those on the whole plan."""
        wrong = {m.place for m in self.walk.marks if m.verdict in ("harmful", "missed")}
        own = [c for place in sorted(wrong) if (line := plan.line(*place)) for c in line.cautions[:1]]
        yield Block("heading", "Mind")
        for caution in dict.fromkeys((*own[:MOST_CAUTIONS], *plan.cautions)):
            yield Block("caution", caution)


def _lines(plan: Plan, item: str, sides: Iterable[str]) -> list[Line]:
    """The plan's lines of an item on those sides; wherever it stands where it stands on none of them."""
    exact = [line for side in sides if (line := plan.line(item, side))]
    return exact or [line for line in plan.lines if line.id == item]


def _sides(sides: Iterable[str]) -> str:
    found = set(sides)
    return "for the person" if found == {PERSON} else sides_in_words(found)


def fact_in_words(fact: Fact) -> str:
    """A fact as it is told to a trainee: `bunion: yes`, `ball width: 102 mm`."""
    unit = getattr(fact.term, "unit", "")
    value = "nobody can say" if fact.value == "unknown" else str(fact.value)
    return one_line(f"{value} {unit}".strip() if fact.value != "unknown" and unit else value)


def places_in_words(places: Iterable[Place], vocabulary: Vocabulary) -> list[str]:
    """Chosen items as `Extra width, both feet`, in the order of a plan."""
    groups: dict[str, list[str]] = {}
    for item, side in places:
        groups.setdefault(item, []).append(side)
    ranked = sorted(groups, key=lambda item: vocabulary.plan_items[item].rank)
    found = []
    for item in ranked:
        sides = sides_in_words(groups[item])
        found.append(vocabulary.plan_items[item].label + (f", {sides}" if sides else ""))
    return found


def facts_in_words(facts: Iterable[Fact]) -> list[str]:
    """Facts line by line, both feet as one where they agree: `Bunion: left yes, right no`."""
    groups: dict[str, list[Fact]] = {}
    terms: dict[str, Term] = {}
    for fact in facts:
        groups.setdefault(fact.term.id, []).append(fact)
        terms[fact.term.id] = fact.term
    lines = []
    for term_id, own in groups.items():
        values = {fact_in_words(fact) for fact in own}
        if own[0].side == PERSON:
            told = fact_in_words(own[0])
        elif len(own) == 2 and len(values) == 1:
            told = f"both feet {values.pop()}"
        else:
            told = ", ".join(f"{fact.side} {fact_in_words(fact)}" for fact in own)
        lines.append(f"{terms[term_id].label}: {told}")
    return lines
