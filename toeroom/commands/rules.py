"""`toeroom rules`: for who maintains the rules."""

from __future__ import annotations

import argparse
from typing import Any

from toeroom.book import open_book
from toeroom.commands.authoring import add_writing
from toeroom.commands.common import DONE, add_command, add_group, show_faults, show_json
from toeroom.commands.proving import add_prove
from toeroom.commands.upkeep import add_compare, add_coverage, add_fix, add_mutation, run_fix, run_test
from toeroom.errors import BadInput, nearest
from toeroom.upkeep.checking import check_rules
from toeroom.upkeep.examples import failing_examples
from toeroom.upkeep.showing import rule_as_json, rule_in_words


def add(commands: Any) -> None:
    """Declares the commands."""
    verbs = add_group(commands, "rules", "for who maintains the rules")
    add_fix(add_command(verbs, "check", "whether the rules hold together", _rules_check))
    test = add_command(verbs, "test", "whether every rule's examples hold", _rules_test)
    add_coverage(test)
    add_mutation(test)
    add_compare(verbs)
    add_prove(verbs)
    add_writing(verbs)
    show = add_command(verbs, "show", "one rule in words", _rules_show)
    show.add_argument("id", metavar="ID")


def _rules_check(options: argparse.Namespace) -> int:
    run_fix(options)
    return show_faults(check_rules(options.book), options.json, "the rules hold together")


def _rules_test(options: argparse.Namespace) -> int:
    done = run_test(options)
    if done is not None:
        return done
    book = open_book(options.book)
    return show_faults(failing_examples(book), options.json, f"all examples of {len(book.rules)} rules hold")


def _rules_show(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    rule = book.planner.by_id.get(options.id)
    if rule is None:
        raise BadInput(f"there is no rule '{options.id}'", mend=nearest(options.id, book.planner.by_id))
    if options.json:
        show_json(rule_as_json(rule))
    else:
        print("\n".join(rule_in_words(rule, book.vocabulary)))
    return DONE
