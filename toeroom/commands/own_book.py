"""`toeroom book new` and `book update`: a clinic's own book."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.commands.common import DOES_NOT_HOLD, DONE, add_command, add_group, show_json
from toeroom.errors import BadInput
from toeroom.wording import printable

if TYPE_CHECKING:
    from toeroom.upkeep.own_book import Update
    from toeroom.upkeep.three_ways import Conflict

MOST_LINES = 40


def add(commands: Any) -> None:
    """Declares the commands."""
    verbs = add_group(commands, "book", "a book of your own, and keeping it up to date")
    new = add_command(verbs, "new", "copies the shipped book into a folder", _new)
    new.add_argument("folder", type=Path, metavar="DIR")
    update = add_command(verbs, "update", "brings a newer shipped book into your own", _update)
    update.add_argument("folder", type=Path, nargs="?", metavar="DIR", help="your book; here if left out")
    update.add_argument("--newer", type=Path, metavar="DIR", help="the newer book, if not the shipped one")
    update.add_argument("--base", type=Path, metavar="DIR", help="what yours came from, if no record is kept")
    update.add_argument("--dry-run", action="store_true", help="only say what would change")
    update.add_argument(
        "--take",
        nargs="+",
        action="append",
        default=[],
        metavar=("ours|theirs", "ID"),
        help="settle conflicts: whose text to take, and of which; 'all' for all",
    )


def _new(options: argparse.Namespace) -> int:
    from toeroom.upkeep.own_book import new_book

    count = new_book(options.folder, options.book)
    if options.json:
        show_json({"folder": str(options.folder), "files": count})
    else:
        print(f"{count} files copied to {options.folder}: use it with --book {options.folder}")
    return DONE


def _update(options: argparse.Namespace) -> int:
    from toeroom.upkeep.own_book import update_book

    folder = options.folder or options.book or Path()
    found = update_book(
        folder,
        newer=options.newer,
        base=options.base,
        take=_taken(options.take),
        dry_run=options.dry_run,
    )
    if options.json:
        show_json(_as_json(found))
    else:
        print("\n".join(update_in_words(found, dry_run=options.dry_run)))
    return DOES_NOT_HOLD if found.conflicts or found.faults else DONE


def _taken(given: list[list[str]]) -> dict[str, str]:
    take: dict[str, str] = {}
    for side, *names in given:
        if side not in ("ours", "theirs") or not names:
            raise BadInput(
                f"'{side}' is not a side, or nothing is named", file="--take", mend="write '--take ours ID'"
            )
        for name in names:
            if take.get(name, side) != side:
                raise BadInput(f"'{name}' is taken from both sides", file="--take", mend="take one")
            take[name] = side
    return take


def update_in_words(found: Update, *, dry_run: bool) -> list[str]:
    """What an update did or would do, or what stands in its way."""
    lines = ["an update that was broken off was finished first"] if found.finished else []
    for conflict in found.conflicts:
        lines += _conflict(conflict)
    for word, files in (("changes", found.changed), ("adds", found.added), ("removes", found.removed)):
        lines += [f"{word} {file}" for file in files]
    lines += [f"holds changes of both sides, read it: {name}" for name in found.both]
    lines += [f"the merged book fails: {fault}" for fault in found.faults]
    return [*lines, _verdict(found, dry_run)]


def _conflict(conflict: Conflict) -> list[str]:
    lines = ["", f"CONFLICT {conflict.name} in {conflict.file}: {conflict.why}"]
    changes = conflict.changes()
    lines += [f"  {printable(line)}" for line in changes[:MOST_LINES]]
    if len(changes) > MOST_LINES:
        lines.append(f"  … {len(changes) - MOST_LINES} lines more")
    return [*lines, ""]


def _verdict(found: Update, dry_run: bool) -> str:
    if found.conflicts:
        aside = f"; both texts lie in {found.aside}" if found.aside else ""
        return (
            f"nothing was changed: settle {_conflicts(len(found.conflicts))} with "
            f"--take ours ID or --take theirs ID{aside}"
        )
    if found.faults:
        return "nothing was changed: your book stays as it is until these are mended"
    if found.nothing_new and not found.taken:
        return "your book is up to date"
    if dry_run:
        return "nothing was changed; the merged book passes its checks"
    return "your book is up to date now; as it was it lies in .toeroom-base/before"


def _as_json(found: Update) -> dict[str, Any]:
    return {
        "taken": found.taken,
        "changed": list(found.changed),
        "added": list(found.added),
        "removed": list(found.removed),
        "both": list(found.both),
        "faults": list(found.faults),
        "conflicts": [
            {
                "name": conflict.name,
                "file": conflict.file,
                "why": conflict.why,
                "was": conflict.base,
                "ours": conflict.ours,
                "theirs": conflict.theirs,
            }
            for conflict in found.conflicts
        ],
    }


def _conflicts(count: int) -> str:
    return "the conflict" if count == 1 else f"the {count} conflicts"
