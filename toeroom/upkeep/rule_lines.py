"""A rule in whole words on a line each: when it speaks, what follows."""

from __future__ import annotations

from collections.abc import Iterable

from toeroom.rules.explaining import wanted
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test, Then
from toeroom.vocabulary import Vocabulary
from toeroom.wording import unit_of

_OPEN = {
    ("=", "yes"): "{}",
    ("=", "no"): "{} (no)",
    ("=", "unknown"): "{} (not known)",
    ("!=", "yes"): "{} (no or not known)",
    ("!=", "no"): "{} (yes or not known)",
    ("!=", "unknown"): "{} (known)",
}


def when_in_words(condition: Condition, vocabulary: Vocabulary) -> str:
    """A condition on one line: `(Bunion or Tailor's bunion) and Shoe too narrow`."""
    text = _condition(condition, vocabulary)
    return text.removeprefix("(").removesuffix(")") if _one_bracket(text) else text


def _condition(condition: Condition, vocabulary: Vocabulary) -> str:
    if isinstance(condition, Test):
        return test_in_words(condition, vocabulary)
    if isinstance(condition, Feet):
        return f"on {condition.which} {_bracketed(_condition(condition.part, vocabulary))}"
    word = " or " if isinstance(condition, AnyOf) else " and "
    assert isinstance(condition, All | AnyOf)
    return f"({word.join(_condition(part, vocabulary) for part in condition.parts)})"


def test_in_words(test: Test, vocabulary: Vocabulary) -> str:
    """A test: `Bunion`, `Open wound (no or not known)`, `Toe pressure less than 30 mmHg`."""
    term = vocabulary.by_id[test.id]
    label = term.label.strip()
    if test.kind == "plan":
        return f"{label} {'' if test.value == 'yes' else 'not '}advised"
    if test.kind == "derived" and not vocabulary.derived[test.id].one_of:
        return f"{label} (not concluded)" if test.of_absence else label
    if test.kind == "choice":
        return f"{label} ({wanted(test, 'this foot')})"
    if test.op in ("stated", "missing"):
        return f"{label} {'stated' if test.op == 'stated' else 'not stated'}"
    if (test.op, str(test.value)) in _OPEN and test.kind != "derived":
        return _OPEN[test.op, str(test.value)].format(label)
    if test.kind == "derived":
        return f"{label} ({wanted(test, 'this foot')})"
    return f"{label} {wanted(test, 'this foot')} {unit_of(term)}".rstrip()


def then_in_words(then: Then, vocabulary: Vocabulary) -> list[str]:
    """What follows, a line for each kind of thing."""

    def labels(ids: Iterable[str]) -> str:
        return ", ".join(vocabulary.by_id[i].label.strip() for i in ids)

    lines = [
        f"{word}: {labels([i])} {value}"
        for word, pairs in (("read as stated", then.reads), ("corrected to", then.corrects))
        for i, value in pairs
    ]
    lines += [f"conclude: {labels([i])}{'' if value == 'yes' else ' ' + value}" for i, value in then.conclude]
    for word, ids in (
        ("advise", then.advise),
        ("advise for the person", then.advise_person),
        ("hold back", then.hold_back),
        ("rule out", then.rules_out),
    ):
        lines += [f"{word}: {labels(ids)}"] if ids else []
    for caution in then.cautions:
        on = f" (on {labels(caution.on)})" if caution.on else ""
        lines.append(f"caution: {caution.text}{on}")
    lines += [f"ask: {labels(then.ask)}"] if then.ask else []
    for item, pairs in then.detail:
        lines.append(f"figures of {labels([item])}: {', '.join(f'{name} {value}' for name, value in pairs)}")
    return lines


def about_in_words(rule: Rule) -> str:
    """`each foot, advise, step 2`."""
    about = "each foot" if rule.about == "foot" else "the person"
    return f"{about}, {rule.stage}{f', step {rule.step}' if rule.step != 1 else ''}"


def _bracketed(text: str) -> str:
    return text if _one_bracket(text) else f"({text})"


def _one_bracket(text: str) -> bool:
    """Whether one pair of brackets holds the whole text."""
    depth = 0
    for place, character in enumerate(text):
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return place == len(text) - 1 and text.startswith("(")
    return False
