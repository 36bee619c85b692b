"""Writing cases and their agreed plans into a folder."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from toeroom.book import Book
from toeroom.case import Case, case_as_yaml, read_case
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.upkeep.recording import PLANS, Kept, case_files, kept, plans_as_yaml, read_plans
from toeroom.vocabulary import Vocabulary


def write_cases(folder: Path, found: Mapping[str, tuple[Case, Kept]], vocabulary: Vocabulary) -> None:
    """Writes each case as a file, and adds its plan to `plans.yaml`. Overwrites no case that is there.

    Raises `BadInput` where the folder cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            f"cannot be made ({error.strerror})", file=str(folder), mend="name another place"
        ) from None
    plans = read_plans(folder / PLANS) if (folder / PLANS).is_file() else {}
    for name, (case, plan) in found.items():
        path = folder / f"{name}.yaml"
        if path.exists():
            continue
        write_whole(path, case_as_yaml(case, vocabulary))
        plans[name] = plan
    write_whole(folder / PLANS, plans_as_yaml(plans))


def keep_plans(book: Book, folder: Path) -> int:
    """Keeps the plans of today of the case files in `folder`; returns how many were kept otherwise."""
    before = read_plans(folder / PLANS) if (folder / PLANS).is_file() else {}
    cases = [read_case(path, book.vocabulary) for path in case_files(folder)]
    plans = {case.id: kept(book.planner.plain_plan(case), book.vocabulary) for case in cases}
    write_whole(folder / PLANS, plans_as_yaml(plans))
    return sum(before.get(name) != plan for name, plan in plans.items())
