"""A scripted trainee: what is asked and decided at each stage, from a YAML file or JSON lines."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BadInput, nearest
from toeroom.lesson import STAGES as STAGE_IDS
from toeroom.training.decisions import Decision, Offer, decision_from
from toeroom.training.stages import STAGES
from toeroom.training.walk import Walk
from toeroom.yamltree import Node, parse, read_text

KEYS = ("stage", "ask", "stop", "how_fast", "items", "say", "end")


@dataclass(frozen=True, slots=True)
class Answers:
    """What to do at one stage. None leaves that part of the decision as it was before."""

    stage: str
    ask: tuple[str, ...]
    stop: tuple[str, ...] | None
    how_fast: str | None
    items: tuple[str, ...] | None
    say: str | None
    end: bool
    line: int


def read_answers(path: Path) -> tuple[Answers, ...]:
    """The script in the file at `path`; `BadInput` names the line of what is wrong.

    A file that begins with `{` holds one JSON object a line, any other a YAML list of the same.
    """
    text, name = read_text(path), str(path)
    if text.lstrip().startswith("{"):
        nodes = []
        for number, line in enumerate(text.splitlines(), 1):
            if line.strip():
                node = parse(line, name)
                node.line = node.key_line = number
                nodes.append(node)
    else:
        tree = parse(text, name)
        if not isinstance(tree.value, list):
            raise BadInput(
                "is no script of a trainee", file=name, line=tree.line, mend="see docs/training.md"
            )
        nodes = tree.value
    found = tuple(_answers(node, name) for node in nodes)
    order = [STAGE_IDS.index(one.stage) for one in found]
    if order != sorted(set(order)):
        raise BadInput(
            "the stages are out of order", file=name, mend=f"use {', '.join(STAGE_IDS)}, each once"
        )
    return found


def _answers(node: Node, name: str) -> Answers:
    top = node.value
    if not isinstance(top, dict):
        raise BadInput(
            "a stage must be 'name: value' lines", file=name, line=node.line, mend="begin 'stage:'"
        )
    for key, inner in top.items():
        if key not in KEYS:
            raise BadInput(
                f"'{key}' is not known here", file=name, line=inner.key_line, mend=nearest(key, KEYS)
            )
    stage = _text(top.get("stage"), name) or ""
    if stage not in STAGE_IDS:
        raise BadInput(
            f"there is no stage '{stage}'", file=name, line=node.line, mend=f"use {', '.join(STAGE_IDS)}"
        )
    end = _text(top.get("end"), name) or "no"
    if end not in ("yes", "no", "true", "false"):
        raise BadInput(f"'end' cannot be '{end}'", file=name, line=node.line, mend="write yes or no")
    return Answers(
        stage=stage,
        ask=_texts(top.get("ask"), name) or (),
        stop=_texts(top.get("stop"), name),
        how_fast=_text(top.get("how_fast"), name),
        items=_texts(top.get("items"), name),
        say=_text(top.get("say"), name),
        end=end in ("yes", "true"),
        line=node.line,
    )


def _text(node: Node | None, name: str) -> str | None:
    if node is None:
        return None
    if node.value is None or isinstance(node.value, str):
        return node.value or ""
    raise BadInput("one text is wanted here", file=name, line=node.key_line or node.line, mend="quote it")


def _texts(node: Node | None, name: str) -> tuple[str, ...] | None:
    if node is None:
        return None
    if isinstance(node.value, list) and all(isinstance(inner.value, str) for inner in node.value):
        return tuple(str(inner.value) for inner in node.value)
    raise BadInput(
        "a list is wanted here", file=name, line=node.key_line or node.line, mend="write [one, two]"
    )


def follow(walk: Walk, offer: Offer, script: tuple[Answers, ...], name: str) -> None:
    """Walks by a script to the end; a stage it does not name is gone through as it stands."""
    by_stage = {one.stage: one for one in script}
    while not walk.closed:
        one = by_stage.get(STAGES[walk.stage].id)
        if one is None:
            walk.decide(walk.decision)
            continue
        try:
            for term_id in one.ask:
                walk.ask(term_id)
            walk.decide(_decision(walk.decision, offer, one), end=one.end)
        except BadInput as fault:
            raise BadInput(fault.what, file=name, line=one.line, mend=fault.mend) from None


def _decision(before: Decision, offer: Offer, one: Answers) -> Decision:
    old = before.as_json()
    return decision_from(
        offer,
        stop=old["stop"] if one.stop is None else one.stop,
        how_fast=(old["how_fast"] if one.stop is None else "") if one.how_fast is None else one.how_fast,
        items=old["items"] if one.items is None else one.items,
        say=before.say if one.say is None else one.say,
    )
