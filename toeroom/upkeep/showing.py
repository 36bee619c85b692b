"""A rule in words, as it would be read aloud."""

from __future__ import annotations

from typing import Any

from toeroom.rules.explaining import wanted
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test
from toeroom.vocabulary import Vocabulary


def rule_in_words(rule: Rule, vocabulary: Vocabulary) -> list[str]:
    """The lines of a rule: what it is about, when it speaks, what it says, who stands behind it."""
    about = "this foot" if rule.about == "foot" else "the person"
    lines = [f"{rule.title} [{rule.id}]", f"  about {about}; {rule.stage}, step {rule.step}", "  when"]
    lines += _condition(rule.when, vocabulary, 4)
    lines.append("  then")
    then = rule.then
    for words, ids in (
        ("read as stated", [i for i, _ in (*then.reads, *then.corrects)]),
        ("conclude", [f"{i} {value}" if value != "yes" else i for i, value in then.conclude]),
        ("advise", then.advise),
        ("advise for the person", then.advise_person),
        ("hold back", then.hold_back),
        ("rule out", then.rules_out),
        ("ask", then.ask),
    ):
        if ids:
            lines.append(f"    {words}: {', '.join(ids)}")
    lines += [f"    caution: {caution.text}" for caution in then.cautions]
    lines.append(f"  source: {'; '.join(str(source) for source in rule.sources)}")
    lines.append(f"  pages: {', '.join(rule.pages)}")
    by = f" by {rule.reviewed_by}" if rule.reviewed_by else ""
    lines.append(
        f"  {rule.author}, reviewed {rule.reviewed}{by}, review by {rule.review_by}; {rule.file}:{rule.line}"
    )
    return lines


def _condition(condition: Condition, vocabulary: Vocabulary, indent: int) -> list[str]:
    pad = " " * indent
    if isinstance(condition, Test):
        label = vocabulary.by_id[condition.id].label
        if condition.kind == "plan":
            return [f"{pad}{label} is {'' if condition.value == 'yes' else 'not '}advised"]
        return [f"{pad}{label} is {wanted(condition, 'this side')}"]
    if isinstance(condition, Feet):
        return [f"{pad}on {condition.which}:", *_condition(condition.part, vocabulary, indent + 2)]
    word = "all of" if isinstance(condition, All) else "any of"
    assert isinstance(condition, All | AnyOf)
    return [
        f"{pad}{word}:",
        *(line for part in condition.parts for line in _condition(part, vocabulary, indent + 2)),
    ]


def rule_as_json(rule: Rule) -> dict[str, Any]:
    """A rule's parts that scripts ask for."""
    return {
        "id": rule.id,
        "title": rule.title,
        "about": rule.about,
        "stage": rule.stage,
        "step": rule.step,
        "advise": [*rule.then.advise, *rule.then.advise_person],
        "hold_back": list(rule.then.hold_back),
        "rules_out": list(rule.then.rules_out),
        "conclude": dict(rule.then.conclude),
        "cautions": [caution.text for caution in rule.then.cautions],
        "pages": list(rule.pages),
        "sources": [str(source) for source in rule.sources],
        "reviewed": rule.reviewed,
        "review_by": rule.review_by,
        "file": rule.file,
        "line": rule.line,
    }
