"""`toeroom rules test --coverage`, `--mutations` and `toeroom rules compare`: for who maintains the rules."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from toeroom.book import Book, open_book, shipped_folder
from toeroom.commands.common import (
    DOES_NOT_HOLD,
    DONE,
    add_command,
    add_progress,
    show_faults,
    show_json,
    tell_progress,
)
from toeroom.errors import BadInput, BookFault
from toeroom.rules.planning import Planner
from toeroom.upkeep.comparing import Comparison, Group

MOST_SHOWN = 40


def add_coverage(test: argparse.ArgumentParser) -> None:
    """Declares `--coverage` and `--cases` on `rules test`."""
    test.add_argument("--coverage", action="store_true", help="rules and tests that no example looks at")
    test.add_argument(
        "--cases",
        type=Path,
        action="append",
        default=[],
        metavar="DIR",
        help="a further folder of case files",
    )
    test.add_argument("--keep", type=Path, metavar="DIR", help="keep today's plans of the case files in DIR")


def add_mutation(test: argparse.ArgumentParser) -> None:
    """Declares `--mutations` and its options on `rules test`."""
    test.add_argument(
        "--mutations", action="store_true", help="small faults in the rules that no example notices"
    )
    test.add_argument("--least", type=float, metavar="SHARE", help="fail below this share of noticed faults")
    test.add_argument("--guarantees", action="store_true", help="a guarantee that fails notices as well")
    test.add_argument("--suggest", type=Path, metavar="DIR", help="write cases that would notice the others")


def run_test(options: argparse.Namespace) -> int | None:
    """What `rules test` does where one of these options is given; None where none is."""
    if options.keep is not None:
        return _keep(open_book(options.book), options.keep)
    if options.coverage:
        return _coverage(open_book(options.book), options)
    if options.mutations:
        return _mutations(open_book(options.book), options)
    if options.cases:
        return _kept(open_book(options.book), options)
    return None


def _keep(book: Book, folder: Path) -> int:
    from toeroom.upkeep.keeping import keep_plans

    if not folder.is_dir():
        raise BadInput("there is no such folder", file=str(folder), mend="name a folder of case files")
    print(f"plans kept; {keep_plans(book, folder)} differ from those kept before")
    return DONE


def _kept(book: Book, options: argparse.Namespace) -> int:
    from toeroom.upkeep.examples import failing_examples
    from toeroom.upkeep.recording import broken_plans

    faults = [*failing_examples(book), *broken_plans(book, options.cases)]
    return show_faults(faults, options.json, "all examples and kept plans hold")


def add_fix(check: argparse.ArgumentParser) -> None:
    """Declares `--fix` on `rules check`; `run_fix` goes before the check itself."""
    check.add_argument("--fix", action="store_true", help="mend first what is mechanical")


def run_fix(options: argparse.Namespace) -> None:
    """Mends what is mechanical where that is asked for, and says on standard error what was mended."""
    from toeroom.upkeep.mending import mend_rules

    if options.fix:
        for line in mend_rules(options.book or shipped_folder()):
            print(f"mended: {line}", file=sys.stderr)


def add_compare(verbs: Any) -> None:
    """Declares `rules compare`."""
    parser = add_command(verbs, "compare", "whose plan changes from one book to another, and how", _compare)
    parser.add_argument("old", metavar="OLD", help="a folder, or a revision in git")
    parser.add_argument("new", metavar="NEW", help="a folder, or a revision in git")
    parser.add_argument("--case", type=Path, action="append", default=[], metavar="FILE", help="a case file")
    parser.add_argument(
        "--store", metavar="URL", nargs="?", const="", help="the cases of the record store too"
    )
    add_progress(parser)
    parser.add_argument("--made", type=int, default=100_000, metavar="N", help="made cases (100000)")
    parser.add_argument("--guarantees", action="store_true", help="also which guarantees stand otherwise")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="other made cases (1)")


# --- coverage and mutations -------------------------------------------------------------------------
def _coverage(book: Book, options: argparse.Namespace) -> int:
    from toeroom.upkeep.coverage import coverage

    found = coverage(book, options.cases)
    if options.json:
        show_json(
            {
                "rules": found.rules,
                "rules_never": [rule.id for rule in found.never],
                "tests": found.tests,
                "tests_one_way": [_fault_json(fault) for fault in found.faults[len(found.never) :]],
            }
        )
    else:
        _show(found.faults)
        print(
            f"{found.rules - len(found.never)} of {found.rules} rules speak in an example; "
            f"{found.tests - len(found.one_way)} of {found.tests} tests were seen both to hold and to fail"
        )
    return DOES_NOT_HOLD if found.faults else DONE


def _mutations(book: Book, options: argparse.Namespace) -> int:
    from toeroom.upkeep.mutating import mutation_score

    found = mutation_score(book, options.cases, _failing(book) if options.guarantees else None)
    if options.json:
        show_json(
            {
                "made": found.made,
                "refused": found.refused,
                "noticed": found.noticed,
                "score": round(found.share, 4),
                "survivors": [_fault_json(fault) for fault in found.faults],
            }
        )
    else:
        _show(found.faults)
        print(
            f"{found.noticed} of {found.made - found.refused} faults noticed ({found.share:.1%}); "
            f"{found.refused} more the reader refuses"
        )
    if options.suggest is not None:
        _suggest(book, found.survivors, options.suggest)
    least = 1.0 if options.least is None else options.least
    return DONE if found.share >= least else DOES_NOT_HOLD


def _failing(book: Book) -> Callable[[Planner], bool]:
    # The solver is an extra, and only needed here.
    from toeroom.upkeep.proving import some_guarantee_fails

    return some_guarantee_fails(book)


def _suggest(book: Book, survivors: Sequence[Any], folder: Path) -> None:
    from toeroom.upkeep.keeping import write_cases
    from toeroom.upkeep.suggesting import noticing_cases

    found = noticing_cases(book, survivors)
    write_cases(folder, found, book.vocabulary)
    print(f"{len(found)} cases and their plans written to {folder}: read each before you keep it")


def _show(faults: Sequence[BookFault]) -> None:
    for fault in faults:
        print(fault)


def _fault_json(fault: BookFault) -> dict[str, Any]:
    return {"file": fault.file, "line": fault.line, "what": fault.what, "mend": fault.mend}


# --- compare ------------------------------------------------------------------------------------------
def _compare(options: argparse.Namespace) -> int:
    from toeroom.upkeep.comparing import compare
    from toeroom.upkeep.revisions import folder_of

    if not 0 <= options.made <= 10_000_000:
        raise BadInput(f"--made cannot be {options.made}", mend="use 0 to 10000000")
    beside = options.book or shipped_folder()
    with folder_of(options.old, beside) as old, folder_of(options.new, beside) as new:
        found = compare(
            old,
            new,
            files=options.case,
            kept=_of_store(options.store),
            made=options.made,
            seed=options.seed,
            guarantees=_changed if options.guarantees else None,
            tell=lambda done: tell_progress(options, done, options.made),
        )
    if options.json:
        show_json(_comparison_json(found))
    else:
        print("\n".join(comparison_in_words(found)))
    return DONE


def _of_store(store: str | None) -> Iterator[tuple[str, str]]:
    """The latest of every case of the record store at `store` ('': the person's own); none for None."""
    if store is None:
        return
    from toeroom.records.store import open_store

    with open_store(store or None, make=False) as kept:
        for version in kept.documents():
            yield f"store, case {version.case}", version.text


def _changed(old: Book, new: Book) -> list[str]:
    from toeroom.upkeep.proving import guarantees_changed

    return guarantees_changed(old, new)


def comparison_in_words(found: Comparison) -> list[str]:
    """The comparison, worst first, with the smallest made case for each change."""
    lines = [
        f"rules {word}: {', '.join(ids)}"
        for word, ids in (("added", found.added), ("removed", found.removed), ("changed", found.changed))
        if ids
    ] or ["no rule differs in what it does"]
    lines += [f"cannot be read: {fault}" for fault in found.unread]
    lines += [f"guarantee: {line}" for line in found.guarantees]
    lines.append(
        f"{len(found.files_changed)} of {found.files} cases given and {found.made_changed} of {found.made} "
        f"made cases get another plan"
    )
    lines.append(
        f"made cases reached {found.rules_reached} of {found.rules} rules and {found.pairs_reached} of "
        f"{found.rules * (found.rules - 1) // 2} pairs of rules"
    )
    for group in found.groups[:MOST_SHOWN]:
        lines += _group_in_words(group, found)
    if len(found.groups) > MOST_SHOWN:
        lines.append(f"and {len(found.groups) - MOST_SHOWN} changes more; --json shows all")
    return lines


def _group_in_words(group: Group, found: Comparison) -> list[str]:
    ways = "; ".join(f"{way} ({count})" for way, count in group.ways.most_common(3))
    rules = ", ".join(rule for rule, _ in group.rules.most_common(3))
    lines = ["", f"{group.kind.upper()}: {group.what}, {'/'.join(sorted(group.sides))}: {group.cases} cases"]
    lines.append(f"  {ways}; by {rules}")
    if group.named:
        more = f" and {len(group.named) - 3} more" if len(group.named) > 3 else ""
        lines.append(f"  in {', '.join(group.named[:3])}{more}")
    text = found.smallest.get((group.kind, group.what), "")
    lines += [f"    {line}" for line in text.splitlines() if not line.startswith("title:")]
    return lines


def _comparison_json(found: Comparison) -> dict[str, Any]:
    return {
        "added": list(found.added),
        "removed": list(found.removed),
        "changed": list(found.changed),
        "files": found.files,
        "files_changed": list(found.files_changed),
        "made": found.made,
        "made_changed": found.made_changed,
        "rules_reached": found.rules_reached,
        "pairs_reached": found.pairs_reached,
        "unread": list(found.unread),
        "guarantees": list(found.guarantees),
        "groups": [
            {
                "kind": group.kind,
                "what": group.what,
                "sides": sorted(group.sides),
                "ways": dict(group.ways.most_common()),
                "cases": group.cases,
                "files": group.named,
                "rules": dict(group.rules.most_common(5)),
                "smallest": found.smallest.get((group.kind, group.what)),
            }
            for group in found.groups
        ],
    }
