"""Rules from YAML. The language is described for who writes it in docs/rules.md."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path

from toeroom.case import day_from
from toeroom.errors import BookFault, nearest
from toeroom.rules.model import (
    STAGES,
    All,
    AnyOf,
    Caution,
    Condition,
    Feet,
    Rule,
    Source,
    Test,
    Then,
    tests_of,
)
from toeroom.vocabulary import SIDES, Choice, Derived, Vocabulary
from toeroom.yamltree import Node, read_book_file

FEET_WORDS = ("either foot", "each foot", "other foot", "both sides", "either stump")
NUMBER_WORDS = {"more than": ">", "less than": "<", "at most": "<=", "at least": ">="}
OPPOSITE_WORDS = {"not yes": ("!=", "yes"), "not no": ("!=", "no"), "known": ("!=", "unknown")}
RULE_KEYS = {
    "id", "title", "about", "stage", "step", "when", "then", "pages", "source", "author", "reviewed",
    "reviewed_by", "review_by", "status", "replaced_by", "without_feet", "examples",
}  # fmt: skip
THEN_KEYS = {
    "reads", "corrects", "conclude", "advise", "advise for the person", "hold back", "rules out", "caution",
    "ask", "detail",
}  # fmt: skip
DEFAULT_KEYS = {"about", "stage", "step", "source", "author", "reviewed", "review_by", "pages"}


def read_rules(folder: Path, vocabulary: Vocabulary) -> tuple[Rule, ...]:
    """All active rules of the YAML files in `folder`, in the order of file and place.

    Raises `BookFault` for anything the language does not hold, and for an id used twice.
    """
    rules: list[Rule] = []
    seen: dict[str, Rule] = {}
    for path in sorted(folder.glob("*.yaml")):
        if path.name in ("vocabulary.yaml", "guarantees.yaml"):
            continue
        for rule in RuleFile(path, vocabulary).rules():
            if rule.id in seen:
                raise BookFault(
                    f"the id '{rule.id}' is used already in {seen[rule.id].file}",
                    file=str(path),
                    line=rule.line,
                    mend="give this rule an id of its own; retired ids are never used again",
                )
            seen[rule.id] = rule
            if rule.status == "active":
                rules.append(rule)
    return tuple(rules)


class RuleFile:
    """Reads one file of rules."""

    def __init__(self, path: Path, vocabulary: Vocabulary) -> None:
        self.path, self.file, self.vocabulary = path, str(path), vocabulary

    def fault(self, what: str, node: Node, mend: str = "") -> BookFault:
        return BookFault(what, file=self.file, line=node.key_line or node.line, mend=mend)

    def rules(self) -> Iterable[Rule]:
        top = self.mapping(read_book_file(self.path), "the file")
        self.known(top, {"topic", "defaults", "rules"})
        defaults = self.mapping(top["defaults"], "defaults") if "defaults" in top else {}
        self.known(defaults, DEFAULT_KEYS)
        for node in self.listed(top.get("rules")):
            yield self.rule({**defaults, **self.mapping(node, "a rule")}, node)

    # --- one rule --------------------------------------------------------------------------------
    def rule(self, entries: dict[str, Node], node: Node) -> Rule:
        self.known(entries, RULE_KEYS)
        for needed in (
            "id",
            "title",
            "about",
            "stage",
            "when",
            "then",
            "source",
            "author",
            "reviewed",
            "review_by",
        ):
            if needed not in entries:
                raise self.fault(f"the rule has no '{needed}'", node, f"write '{needed}: …'")
        rule_id = self.word(entries["id"])
        if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", rule_id):
            raise self.fault(
                f"'{rule_id}' cannot be an id", entries["id"], "use small letters, digits and dashes"
            )
        about = self.one_of(entries["about"], ("foot", "person"))
        stage = self.one_of(entries["stage"], STAGES)
        fires, silent = self.examples(entries.get("examples"), node)
        then = self.then(entries["then"], about, stage)
        when = self.condition(entries["when"], about)
        status = (
            self.one_of(entries["status"], ("draft", "active", "retired"))
            if "status" in entries
            else "active"
        )
        if status == "active" and not any(tests_of(when)):
            mend = "write the condition, or 'status: draft' until it stands"
            raise self.fault("the rule would speak in every case", entries["when"], mend)
        return Rule(
            id=rule_id,
            title=self.word(entries["title"]),
            about=about,
            stage=stage,
            step=int(self.word(entries["step"])) if "step" in entries else 1,
            when=when,
            then=then,
            pages=self.words(entries.get("pages")),
            sources=tuple(self.source(text) for text in self.words(entries["source"])),
            author=self.word(entries["author"]),
            reviewed=self.day(entries["reviewed"]),
            review_by=self.day(entries["review_by"]),
            reviewed_by=self.word(entries["reviewed_by"]) if "reviewed_by" in entries else "",
            status=status,
            replaced_by=self.word(entries["replaced_by"]) if "replaced_by" in entries else "",
            without_feet="without_feet" in entries
            and self.one_of(entries["without_feet"], ("yes", "no")) == "yes",
            fires=fires,
            silent=silent,
            file=self.file,
            line=node.line,
        )

    def examples(self, node: Node | None, rule: Node) -> tuple[dict[str, object], dict[str, object]]:
        entries = self.mapping(node, "examples") if node is not None else {}
        self.known(entries, {"fires", "silent"})
        found = []
        for kind in ("fires", "silent"):
            plain = entries[kind].plain() if kind in entries else None
            if not isinstance(plain, dict):
                raise self.fault(
                    f"the rule has no example in which it '{kind}'", rule, "add one under 'examples:'"
                )
            found.append(plain)
        return found[0], found[1]

    def source(self, text: str) -> Source:
        key, _, at = text.partition(",")
        return Source(key.strip(), at.strip())

    # --- when ------------------------------------------------------------------------------------
    def condition(self, node: Node, about: str) -> Condition:
        if isinstance(node.value, list):
            parts = tuple(self.condition(inner, about) for inner in node.value)
            return parts[0] if len(parts) == 1 else All(parts)
        if isinstance(node.value, dict):
            parts = tuple(self.entry(key, inner, about) for key, inner in node.value.items())
            return parts[0] if len(parts) == 1 else All(parts)
        return self.test(self.word(node), "yes", node, about)

    def entry(self, key: str, node: Node, about: str) -> Condition:
        if key in ("any of", "all of"):
            parts = tuple(self.condition(inner, about) for inner in self.listed(node))
            return AnyOf(parts) if key == "any of" else All(parts)
        if key in FEET_WORDS:
            if key == "other foot" and about != "foot":
                raise self.fault("only a rule about a foot has an 'other foot'", node, "use 'either foot'")
            return Feet(key, self.condition(node, "foot"))
        if key in ("advised", "not advised"):
            return self.advised(key, node, about)
        return self.test(key, self.word(node), node, about)

    def advised(self, key: str, node: Node, about: str) -> Condition:
        tests: list[Condition] = []
        for item in self.words(node):
            self.item(item, node)
            value = "yes" if key == "advised" else "no"
            tests.append(Test("plan", item, "=", value, about, node.line))
        if len(tests) == 1:
            return tests[0]
        return AnyOf(tuple(tests)) if key == "advised" else All(tuple(tests))

    def test(self, term_id: str, words: str, node: Node, about: str) -> Condition:
        term = self.vocabulary.by_id.get(term_id)
        if term is None or term_id in self.vocabulary.plan_items or term_id in self.vocabulary.dates:
            known = [*self.vocabulary.findings, *self.vocabulary.measures, *self.vocabulary.derived]
            mend = nearest(term_id, [*known, *self.vocabulary.calculated, *FEET_WORDS, "any of", "all of"])
            raise self.fault(f"'{term_id}' cannot stand in a condition", node, mend)
        if term.scope == "foot" and about == "person":
            raise self.fault(
                f"'{term_id}' is about a foot", node, "write 'either foot' or 'each foot' before it"
            )
        kind = self.kind_of(term_id)
        if isinstance(term, Choice):
            return self.choice(term, words, node)
        if kind == "measure" or getattr(term, "kind", "") == "number":
            return self.number(kind, term_id, term.scope, words, node)
        allowed = self.allowed(term_id)
        if isinstance(term, Derived) and term.one_of:
            return self.valued(term, words, allowed, node)
        if (words in OPPOSITE_WORDS and kind != "derived") or words == "not yes":
            op, value = OPPOSITE_WORDS[words]
            return Test(kind, term_id, op, value, term.scope, node.line)
        if words not in allowed:
            raise self.fault(f"'{term_id}' cannot be '{words}'", node, f"use {', '.join(allowed)} or not yes")
        return Test(kind, term_id, "=", words, term.scope, node.line)

    def kind_of(self, term_id: str) -> str:
        for kind, terms in (
            ("finding", self.vocabulary.findings),
            ("measure", self.vocabulary.measures),
            ("choice", self.vocabulary.choices),
            ("calculated", self.vocabulary.calculated),
        ):
            if term_id in terms:
                return kind
        return "derived"

    def allowed(self, term_id: str) -> tuple[str, ...]:
        if term_id in self.vocabulary.findings:
            return ("yes", "no", "unknown")
        derived = self.vocabulary.derived.get(term_id)
        return derived.one_of if derived and derived.one_of else ("yes", "no")

    def valued(self, term: Derived, words: str, allowed: tuple[str, ...], node: Node) -> Condition:
        negative = words.startswith("not ")
        values = [v.strip() for v in words.removeprefix("not ").split(" or ")]
        for value in values:
            if value not in allowed:
                raise self.fault(f"'{term.id}' cannot be '{value}'", node, f"use one of {', '.join(allowed)}")
        op = "!=" if negative else "="
        tests: tuple[Condition, ...] = tuple(
            Test("derived", term.id, op, v, term.scope, node.line) for v in values
        )
        if len(tests) == 1:
            return tests[0]
        return All(tests) if negative else AnyOf(tests)

    def choice(self, term: Choice, words: str, node: Node) -> Test:
        if words in ("stated", "missing"):
            return Test("choice", term.id, words, "", term.scope, node.line)
        if words == "this side":
            return Test("choice", term.id, words, "", term.scope, node.line)
        if words not in term.one_of:
            raise self.fault(f"'{term.id}' cannot be '{words}'", node, f"use one of {', '.join(term.one_of)}")
        return Test("choice", term.id, "=", words, term.scope, node.line)

    def number(self, kind: str, term_id: str, scope: str, words: str, node: Node) -> Test:
        if words in ("stated", "missing"):
            return Test(kind, term_id, words, "", scope, node.line)
        match = re.fullmatch(r"(more than|less than|at most|at least) (-?\d+(?:\.\d+)?)", words)
        if not match:
            mend = "write 'more than 10', 'at least 10', 'less than 10', 'at most 10', 'stated' or 'missing'"
            raise self.fault(f"'{term_id}' is a number and cannot be '{words}'", node, mend)
        return Test(kind, term_id, NUMBER_WORDS[match[1]], Decimal(match[2]), scope, node.line)

    # --- then ------------------------------------------------------------------------------------
    def then(self, node: Node, about: str, stage: str) -> Then:
        entries = self.mapping(node, "'then'")
        self.known(entries, THEN_KEYS)
        if "hold back" in entries and stage != "guard":
            raise self.fault("only a guard holds back", entries["hold back"], "write 'stage: guard'")
        if "conclude" in entries and stage != "assess":
            raise self.fault("only 'assess' concludes a state", entries["conclude"], "write 'stage: assess'")
        if stage == "assess" and ("advise" in entries or "advise for the person" in entries):
            raise self.fault("'assess' gives no plan item", node, "write 'stage: advise' or 'stage: guard'")
        return Then(
            reads=self.findings(entries.get("reads")),
            corrects=self.findings(entries.get("corrects")),
            conclude=self.concluded(entries.get("conclude"), about),
            advise=self.items(entries.get("advise")),
            advise_person=self.items(entries.get("advise for the person")),
            hold_back=self.items(entries.get("hold back")),
            rules_out=self.items(entries.get("rules out")),
            cautions=self.cautions(entries.get("caution")),
            ask=self.askable(entries.get("ask")),
            detail=self.detail(entries.get("detail")),
        )

    def findings(self, node: Node | None) -> tuple[tuple[str, str], ...]:
        if node is None:
            return ()
        pairs = []
        for key, inner in self.mapping(node, "what is read").items():
            if key not in self.vocabulary.findings:
                raise self.fault(f"'{key}' is not a finding", inner, nearest(key, self.vocabulary.findings))
            pairs.append((key, self.one_of(inner, ("yes", "no"))))
        return tuple(pairs)

    def concluded(self, node: Node | None, about: str) -> tuple[tuple[str, str], ...]:
        if node is None:
            return ()
        if isinstance(node.value, dict):
            pairs = [(key, self.word(inner)) for key, inner in node.value.items()]
        else:
            pairs = [(key, "yes") for key in self.words(node)]
        for key, value in pairs:
            derived = self.vocabulary.derived.get(key)
            if derived is None:
                raise self.fault(
                    f"'{key}' is not a derived state", node, nearest(key, self.vocabulary.derived)
                )
            if value not in (derived.one_of or ("yes",)):
                raise self.fault(f"'{key}' cannot be '{value}'", node, "see the vocabulary")
            if derived.scope == "foot" and about == "person":
                raise self.fault(f"'{key}' belongs to a foot", node, "make the rule about a foot")
        return tuple(pairs)

    def items(self, node: Node | None) -> tuple[str, ...]:
        """Plan items; `section build` stands for all of a section, `but x` takes one out."""
        found: dict[str, None] = {}
        for text in self.words(node):
            assert node is not None
            if text.startswith("section "):
                section = self.vocabulary.of_section(text.removeprefix("section "))
                if not section:
                    raise self.fault(f"there is no {text}", node, "see the sections in docs/rules.md")
                found.update(dict.fromkeys(section))
            elif text.startswith("but "):
                self.item(text.removeprefix("but "), node)
                found.pop(text.removeprefix("but "), None)
            else:
                self.item(text, node)
                found[text] = None
        return tuple(found)

    def item(self, item: str, node: Node) -> None:
        if item not in self.vocabulary.plan_items:
            raise self.fault(f"'{item}' is not a plan item", node, nearest(item, self.vocabulary.plan_items))

    def cautions(self, node: Node | None) -> tuple[Caution, ...]:
        if node is None:
            return ()
        nodes = node.value if isinstance(node.value, list) else [node]
        found = []
        for inner in nodes:
            if isinstance(inner.value, dict):
                self.known(inner.value, {"text", "on"})
                if "text" not in inner.value:
                    raise self.fault("the caution has no 'text'", inner, "write 'text: …'")
                found.append(Caution(self.word(inner.value["text"]), self.items(inner.value.get("on"))))
            else:
                found.append(Caution(self.word(inner)))
            for name in found[-1].named:
                if name not in self.vocabulary.calculated:
                    raise self.fault(
                        f"'{{{name}}}' is no calculation", inner, nearest(name, self.vocabulary.calculated)
                    )
        return tuple(found)

    def askable(self, node: Node | None) -> tuple[str, ...]:
        for word in self.words(node):
            assert node is not None
            if word not in self.vocabulary.by_id or not self.vocabulary.by_id[word].question:
                raise self.fault(f"'{word}' cannot be asked", node, nearest(word, self.vocabulary.findings))
        return self.words(node)

    def detail(self, node: Node | None) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
        if node is None:
            return ()
        found = []
        for item, inner in self.mapping(node, "detail").items():
            self.item(item, inner)
            pairs = []
            for name, value in self.mapping(inner, "detail").items():
                word = self.word(value)
                self.detail_value(word, value)
                pairs.append((name, word))
            found.append((item, tuple(pairs)))
        return tuple(found)

    # --- plain values ----------------------------------------------------------------------------

    def detail_value(self, word: str, node: Node) -> None:
        """A number, or a measure or calculation; of a foot named with `@` where it is one of the feet."""
        if re.fullmatch(r"-?\d+(\.\d+)?", word):
            return
        term_id, sign, at = word.partition("@")
        known = {**self.vocabulary.measures, **self.vocabulary.calculated}
        if term_id not in known:
            raise self.fault(f"'{term_id}' is neither a number nor a measure", node, nearest(term_id, known))
        if sign and (at not in SIDES or known[term_id].scope != "foot"):
            raise self.fault(f"'{word}' names no foot", node, "a measure of a foot takes @left or @right")

    def mapping(self, node: Node, what: str) -> dict[str, Node]:
        if not isinstance(node.value, dict):
            raise self.fault(f"{what} must hold 'name: value' lines", node, "see docs/rules.md")
        return node.value

    def listed(self, node: Node | None) -> list[Node]:
        if node is None or node.value is None:
            return []
        return node.value if isinstance(node.value, list) else [node]

    def words(self, node: Node | None) -> tuple[str, ...]:
        return tuple(self.word(inner) for inner in self.listed(node))

    def word(self, node: Node) -> str:
        if not isinstance(node.value, str):
            raise self.fault("a word or a line of text is wanted here", node, "see docs/rules.md")
        return " ".join(node.value.split())

    def one_of(self, node: Node, allowed: tuple[str, ...]) -> str:
        word = self.word(node)
        if word not in allowed:
            raise self.fault(f"'{word}' cannot stand here", node, f"use one of {', '.join(allowed)}")
        return word

    def day(self, node: Node) -> str:
        try:
            return day_from(self.word(node)).isoformat()
        except ValueError as error:
            what, _, mend = str(error).partition("; ")
            raise self.fault(what, node, mend) from None

    def known(self, entries: dict[str, Node], known: set[str]) -> None:
        for key, node in entries.items():
            if key not in known:
                raise self.fault(f"'{key}' is not a known key", node, nearest(key, known))
