"""All that a case may state, as symbols of the solver: every case is one way of filling them in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from toeroom.case import FIRST_YEAR, LAST_YEAR, Case, Place
from toeroom.upkeep.solver import Formula, Term, both, either, fraction, one, z3
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

LONG_MONTHS, SHORT_MONTHS, FEBRUARY = (1, 3, 5, 7, 8, 10, 12), (4, 6, 9, 11), 2


@dataclass(frozen=True, slots=True)
class Answer:
    """A finding: yes, no, or neither, which is unknown."""

    yes: Formula
    no: Formula

    @property
    def known(self) -> Formula:
        return either(self.yes, self.no)

    def is_(self, value: str) -> Formula:
        """Whether the finding is `value`: yes, no or unknown."""
        return {"yes": self.yes, "no": self.no}.get(value, z3.Not(self.known))


@dataclass(frozen=True, slots=True)
class Measured:
    """A measure: whether it is stated, and the number."""

    stated: Formula
    number: Term


@dataclass(frozen=True, slots=True)
class Day:
    """A calendar day: whether it is stated; year, month and day of the month as whole numbers."""

    stated: Formula
    year: Term
    month: Term
    day: Term

    @property
    def months(self) -> Term:
        """Months since the year 0: two days compare by this, then by the day of the month."""
        return 12 * self.year + self.month

    def not_after(self, other: Day) -> Formula:
        """Whether this day is `other` or lies before it."""
        return either(self.months < other.months, both(self.months == other.months, self.day <= other.day))

    @property
    def last_of_month(self) -> Formula:
        """Whether it is the last day of its month."""
        return self.day == self._length

    @property
    def _length(self) -> Term:
        leap = both(self.year % 4 == 0, either(self.year % 100 != 0, self.year % 400 == 0))
        short = either(*(self.month == m for m in SHORT_MONTHS))
        return z3.If(self.month == FEBRUARY, z3.If(leap, 29, 28), z3.If(short, 30, 31))

    @property
    def exists(self) -> Formula:
        """Whether the calendar, and the form of a case, have this day."""
        return both(
            self.year >= FIRST_YEAR,
            self.year <= LAST_YEAR,
            self.month >= 1,
            self.month <= 12,
            self.day >= 1,
            self.day <= self._length,
        )

    def is_(self, day: date) -> Formula:
        """Whether it is this very day."""
        return both(self.year == day.year, self.month == day.month, self.day == day.day)


class Stated:
    """Symbols for findings, measures, choices and dates of a vocabulary.

    domain: what holds of every case (not yes and no at once, numbers within the range of the
    vocabulary, days that exist). flags: one formula for each thing that may be stated; the day of
    the plan is always stated and is not among them. flags_of: the same by side.
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        self.domain: list[Formula] = []
        self.flags: list[Formula] = []
        self.flags_of: dict[str, list[Formula]] = {side: [] for side in (*SIDES, PERSON)}
        self.findings = {place: self._answer(*place) for place in self._places(vocabulary.findings)}
        self.measures = {place: self._measured(*place) for place in self._places(vocabulary.measures)}
        self.choices = {i: self._choice(i, choice.one_of) for i, choice in vocabulary.choices.items()}
        self.dates = {i: self._date(i) for i in vocabulary.dates}
        self.as_of = _day("as_of", one(True))
        self.domain.append(self.as_of.exists)

    def _places(self, ids: Iterable[str]) -> Iterator[Place]:
        for term_id in ids:
            for side in self.vocabulary.sides_of(term_id):
                yield term_id, side

    def _answer(self, term_id: str, side: str) -> Answer:
        answer = Answer(z3.Bool(f"{side}.{term_id}=yes"), z3.Bool(f"{side}.{term_id}=no"))
        self.domain.append(z3.Not(both(answer.yes, answer.no)))
        self._flag(answer.known, side)
        return answer

    def _measured(self, term_id: str, side: str) -> Measured:
        name, range_ = f"{side}.{term_id}", self.vocabulary.measures[term_id]
        measured = Measured(z3.Bool(f"{name} stated"), z3.Real(name))
        self.domain += [measured.number >= fraction(range_.low), measured.number <= fraction(range_.high)]
        self._flag(measured.stated, side)
        return measured

    def _choice(self, term_id: str, options: tuple[str, ...]) -> dict[str, Formula]:
        chosen = {option: z3.Bool(f"{term_id}={option}") for option in options}
        self.domain.append(z3.AtMost(*chosen.values(), 1))
        self._flag(either(*chosen.values()))
        return chosen

    def _date(self, term_id: str) -> Day:
        day = _day(term_id, z3.Bool(f"{term_id} stated"))
        self.domain.append(day.exists)
        self._flag(day.stated)
        return day

    def _flag(self, stated: Formula, side: str = PERSON) -> None:
        self.flags.append(stated)
        self.flags_of[side].append(stated)

    def there(self, side: str) -> Formula:
        """Whether there is a foot on `side`: by what is stated, before anything is read into it."""
        leg = self.findings.get(("leg_amputated", side))
        return one(True) if leg is None else z3.Not(leg.yes)

    @property
    def feet(self) -> Formula:
        """Whether there is a foot at all."""
        return either(*(self.there(side) for side in SIDES))

    def chosen(self, term_id: str) -> Formula:
        """Whether a choice is stated."""
        return either(*self.choices[term_id].values())

    # --- between cases and symbols -----------------------------------------------------------------
    def as_formulas(self, case: Case) -> list[Formula]:
        """What says that the case is `case`, and no other."""
        found: list[Formula] = [self.as_of.is_(case.as_of)]
        for place, answer in self.findings.items():
            value = case.finding(*place)
            found += [answer.yes if value == "yes" else z3.Not(answer.yes)]
            found += [answer.no if value == "no" else z3.Not(answer.no)]
        for place, measured in self.measures.items():
            if place in case.measures:
                found += [measured.stated, measured.number == fraction(case.measures[place])]
            else:
                found.append(z3.Not(measured.stated))
        for term_id, options in self.choices.items():
            found += [
                symbol if case.choices.get(term_id) == option else z3.Not(symbol)
                for option, symbol in options.items()
            ]
        for term_id, day in self.dates.items():
            if term_id in case.dates:
                found += [day.stated, day.is_(case.dates[term_id])]
            else:
                found.append(z3.Not(day.stated))
        return found

    def as_case(self, model: Term, case_id: str, title: str) -> Case:
        """The case that a model of the solver describes. Numbers must be decimal in it."""

        def holds(formula: Formula) -> bool:
            return bool(z3.is_true(model.eval(formula, model_completion=True)))

        return Case(
            id=case_id,
            title=title,
            as_of=day_in(model, self.as_of),
            findings={
                place: "yes" if holds(answer.yes) else "no"
                for place, answer in self.findings.items()
                if holds(answer.known)
            },
            measures={
                place: decimal_in(model, measured.number)
                for place, measured in self.measures.items()
                if holds(measured.stated)
            },
            choices={
                term_id: option
                for term_id, options in self.choices.items()
                for option, symbol in options.items()
                if holds(symbol)
            },
            dates={i: day_in(model, day) for i, day in self.dates.items() if holds(day.stated)},
        )


def _day(name: str, stated: Formula) -> Day:
    return Day(stated, *(z3.Int(f"{name} {part}") for part in ("year", "month", "day")))


def day_in(model: Term, day: Day) -> date:
    """The day that `day` is in a model."""
    year, month, number = (
        model.eval(part, model_completion=True).as_long() for part in (day.year, day.month, day.day)
    )
    return date(year, month, number)


def decimal_in(model: Term, number: Term) -> Decimal:
    """The number in a model; at most nine decimals, as a case may state."""
    value = model.eval(number, model_completion=True).as_fraction()
    text = f"{Decimal(value.numerator) / Decimal(value.denominator):f}"
    return Decimal(text)
