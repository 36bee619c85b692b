"""A new rule or page: written so that it can be read, does nothing yet, and shows what is to be filled in."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from dateutil.relativedelta import relativedelta

from toeroom.errors import BadInput, BookFault, nearest
from toeroom.files import write_whole
from toeroom.handbook.pages import SHELVES
from toeroom.upkeep.cutting import as_flow
from toeroom.upkeep.holes import HOLE
from toeroom.upkeep.merging import files_of
from toeroom.upkeep.merging_rules import RuleText, is_rule_file, rules_in, rules_of
from toeroom.yamltree import read_text

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
NEW_RULE = """
  # A draft: it does nothing yet. Put words in place of every …, run 'toeroom rules check',
  # then take out 'status: draft' and run it again. The language stands in docs/rules.md.
  - id: {id}
    status: draft
    # One sentence that says what the rule says.
    title: {hole}
    # foot: tried for each foot; person: tried once.
    about: foot
    # assess: concludes a state; advise: gives plan items; guard: holds back.
    stage: advise
    # All of it must hold: [bunion, shoe_narrow], any of: [a, b], toe_pressure_mmhg: less than 30.
    # 'toeroom words TEXT' finds the words.
    when: []
    # {{advise: [extra_width]}}, {{conclude: [needs_width]}}, {{hold back: [section build]}}, a caution
    then: {{}}
    # Keys of kb/sources.yaml with the place: ["van-netten-2018, rec. 10"]; or common-practice, from-memory.
    source: [{hole}]
    # Pages of the handbook.
    pages: [{hole}]
    author: {author}
    reviewed: {today}
    review_by: {next}
    # A case in which it speaks, and one close by in which it stays silent; about the left foot.
    examples:
      fires: {{left: {{{hole}: yes}}}}
      silent: {{left: {{{hole}: no}}}}
"""
LIKE = """
  # A draft made from '{like}': it does nothing yet. Change what differs, give it a title, run
  # 'toeroom rules check', then take out 'status: draft' and run it again.
"""
PAGE = """---
id: {id}
title: {title}
shelf: {shelf}
words: [{hole}]
findings: []
items: []
sources:
  - {{key: {hole}, at: "{hole}", grade: common practice}}
author: {author}
reviewed: {today}
review_by: {next}
status: draft
---
{hole}

## What you see

{hole}

## What to do

{hole}

> **Caution.** {hole}
"""


def checked_id(text: str) -> str:
    """`text` where it can be an id."""
    if not _ID.fullmatch(text) or len(text) > 60:
        raise BadInput(f"'{text}' cannot be an id", mend="use small letters, digits and dashes, at most 60")
    return text


def new_rule(
    folder: Path, rule_id: str, topic: str, *, today: date, like: str = "", by: str = ""
) -> tuple[Path, int]:
    """Appends a draft of the rule `rule_id` to a file of rules; returns the file and the line of its id.

    topic: the name of the file, with or without `.yaml`; it is made where there is none. like: a rule to
    begin from. by: initials of the author. Raises `BadInput` where the id was ever used in the book.
    """
    texts = _rule_files(folder)
    known = rules_in(texts)
    if checked_id(rule_id) in known or rule_id in _guarantee_ids(folder):
        raise BadInput(f"the id '{rule_id}' is used already", mend="ids are never used again: take another")
    if like and like not in known:
        raise BadInput(f"there is no rule '{like}'", mend=nearest(like, known))
    file = f"rules/{checked_id(topic.removesuffix('.yaml').lower())}.yaml"
    if not is_rule_file(file):
        raise BadInput(f"'{file}' holds no rules", mend="name another topic")
    before = texts.get(file) or f"topic: {_capital(file)}\nrules:\n"
    skeleton = _copied(known[like], rule_id, by, today) if like else _blank(rule_id, by, today)
    after = before.rstrip("\n") + "\n" + _indented(skeleton, before, file)
    _same_but(before, after, rule_id, file)
    path = folder / file
    write_whole(path, after)
    return path, next(n for n, line in enumerate(after.split("\n"), 1) if line.strip() == f"- id: {rule_id}")


def _rule_files(folder: Path) -> dict[str, str]:
    return {
        f"rules/{path.name}": read_text(path, fault=BookFault)
        for path in sorted((folder / "rules").glob("*.yaml"))
        if is_rule_file(f"rules/{path.name}")
    }


def _guarantee_ids(folder: Path) -> set[str]:
    raw = files_of(folder).get("rules/guarantees.yaml", b"").decode(errors="replace")
    return set(re.findall(r"^\s*- id: (\S+)", raw, re.MULTILINE))


def _capital(file: str) -> str:
    name = Path(file).stem.replace("-", " ")
    return name[0].upper() + name[1:]


def _dates(by: str, today: date) -> dict[str, str]:
    return {"author": by or HOLE, "today": f"{today}", "next": f"{today + relativedelta(years=1)}"}


def _blank(rule_id: str, by: str, today: date) -> str:
    return NEW_RULE.format(id=rule_id, hole=HOLE, **_dates(by, today))


def _copied(like: RuleText, rule_id: str, by: str, today: date) -> str:
    """All that holds of the rule `like`, under the new id, its title and author left open."""
    days = _dates(by, today)
    new = {"title": HOLE, "author": days["author"], "reviewed": days["today"], "review_by": days["next"]}
    written = [key for key in like.fields.texts if key not in {"id", "status", "replaced_by", "reviewed_by"}]
    inherited = [key for key in like.holds if key not in like.fields.texts and key not in new]
    lines = [f"  - id: {rule_id}\n", "    status: draft\n"]
    for key in dict.fromkeys(["title", *inherited, *written, *new]):
        if key == "examples":
            continue
        if key in new:
            lines.append(f"    {key}: {new[key]}\n")
        elif key in inherited:
            lines.append(f"    {key}: {as_flow(like.holds[key])}\n")
        else:
            lines.append(_at(like.fields.texts[key], like.fields.depth, 4))
    lines.append(_at(like.fields.texts["examples"], like.fields.depth, 4))
    return LIKE.format(like=like.id) + "".join(lines)


def _at(text: str, depth: int, wanted: int) -> str:
    """A field's text with its keys at another depth, and nothing empty below it."""
    lines = [line for line in text.split("\n") if line.strip()]
    return "".join(" " * wanted + line[min(depth, len(line) - len(line.lstrip())) :] + "\n" for line in lines)


def _indented(skeleton: str, before: str, file: str) -> str:
    """The skeleton with its dash in the column of the rules that are there."""
    rules = rules_of(before, file)
    by = (rules[0].fields.dash if rules else 2) - 2
    if not by:
        return skeleton
    return "\n".join((" " * by + s if by > 0 else s[-by:]) if s.strip() else s for s in skeleton.split("\n"))


def _same_but(before: str, after: str, rule_id: str, file: str) -> None:
    """Raises `BadInput` where appending did not add just this rule: the file is laid out otherwise."""

    def holding(text: str) -> dict[str, Mapping[str, object]]:
        return {rule.id: rule.holds for rule in rules_of(text, file)}

    try:
        now = holding(after)
    except BookFault:
        now = {}
    if now.pop(rule_id, None) is None or now != holding(before):
        raise BadInput(
            "no rule can be appended here", file=file, mend="end the file with its list of rules, a dash each"
        )


def new_page(
    folder: Path, page_id: str, shelf: str, title: str, *, today: date, by: str = ""
) -> tuple[Path, int]:
    """Writes a draft of the page `page_id` on a shelf; returns its file and the line to begin at."""
    known = {path.stem: path for path in (folder / "kb").glob("*/*.md")}
    if checked_id(page_id) in known:
        raise BadInput(
            f"the page '{page_id}' is there already", mend="ids are never used again: take another"
        )
    shelves = sorted({*SHELVES, *(path.parent.name for path in known.values())})
    if shelf not in shelves:
        mend = nearest(shelf.replace("-", "_"), shelves) or f"use one of {', '.join(shelves)}"
        raise BadInput(f"there is no shelf '{shelf}'", file="--shelf", mend=mend)
    words = " ".join(title.split())
    if not words:
        raise BadInput("the page has no title", file="--title", mend="say the subject in a few words")
    path = folder / "kb" / shelf / f"{page_id}.md"
    said = json.dumps(words, ensure_ascii=False)
    text = PAGE.format(id=page_id, title=said, shelf=shelf, hole=HOLE, **_dates(by, today))
    path.parent.mkdir(exist_ok=True)
    write_whole(path, text)
    return path, text[: text.index(f"\n{HOLE}\n")].count("\n") + 2
