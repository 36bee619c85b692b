"""What a trainer looks at: progress, the next case, a table, a room's answers."""

from __future__ import annotations

import argparse
import textwrap

from toeroom.book import Book
from toeroom.commands.common import DONE, show_json
from toeroom.errors import BadInput
from toeroom.vocabulary import PERSON
from toeroom.wording import SECTION_TITLES

WIDTH = 80


def show_progress(book: Book, options: argparse.Namespace) -> int:
    """How a trainee stands, or every trainee in a line."""
    from toeroom.training.journal import sessions_folder
    from toeroom.training.progress import ASKING, attempts, progress
    from toeroom.training.session import now, recorded_sessions

    recorded = tuple(recorded_sessions(sessions_folder(options.sessions)))
    codes = [options.trainee] if options.trainee else sorted({a.trainee for a in attempts(recorded)})
    for code in codes:
        own = progress(recorded, code, now())
        if options.json:
            show_json(own.as_json())
            continue
        weak = ", ".join("asking" if t == ASKING else SECTION_TITLES[t].lower() for t in own.weak)
        print(f"{code}: walks {len(own.attempts)}, cases {len(own.standings)}; weak: {weak or 'nothing'}")
        if options.trainee:
            for standing in own.standings.values():
                told = f"{standing.case:32} {standing.last:4}  {standing.times} times"
                print(f"  {told}  due {standing.due:%Y-%m-%d}")
            for topic, share in own.topics.items():
                print(f"  {'Asking' if topic == ASKING else SECTION_TITLES[topic]:32} {share:4.0%}")
    return DONE


def show_next(book: Book, options: argparse.Namespace) -> int:
    """The case that comes next for a trainee, and how to begin it."""
    from toeroom.training.journal import sessions_folder
    from toeroom.training.library import demo_cases
    from toeroom.training.progress import next_case, progress
    from toeroom.training.session import now, recorded_sessions

    if not options.trainee:
        raise BadInput("whose next case?", file="train --next", mend="add --trainee CODE")
    cases = demo_cases(book)
    if not cases:
        raise BadInput("there are no training cases", file=str(book.cases_demo), mend="write one")
    at = now()
    own = progress(recorded_sessions(sessions_folder(options.sessions)), options.trainee, at)
    found = next_case(own, cases, book.vocabulary, at)
    if options.json:
        show_json(
            {"trainee": options.trainee, "case": found.case.id, "variant": found.variant, "why": found.why}
        )
        return DONE
    print(f"{found.case.lesson.title or found.case.id} ({found.case.grade}, {found.why})")
    variant = f" --variant {found.variant}" if found.variant else ""
    print(f"toeroom train {found.case.id}{variant} --trainee {options.trainee}")
    return DONE


def show_csv(options: argparse.Namespace) -> int:
    """All closed walks as a table."""
    from toeroom.training.journal import sessions_folder
    from toeroom.training.progress import as_csv, attempts
    from toeroom.training.session import recorded_sessions

    folder = sessions_folder(options.sessions)
    print(as_csv(attempts(recorded_sessions(folder), options.trainee)), end="")
    return DONE


def show_class(book: Book, options: argparse.Namespace) -> int:
    """What a room decided, stage by stage, with how many and which codes."""
    from toeroom.training.classroom import GO_ON, rooms
    from toeroom.training.marking import HURRY, STOPPING
    from toeroom.training.stages import STAGES

    items = book.vocabulary.plan_items
    words = {STOPPING: "Stop", HURRY: "Refer today", GO_ON: "Go on"}
    for room in rooms(book.planner, options.room):
        if options.json:
            show_json(room.as_json())
            continue
        print(f"{room.case}: walks {room.sessions}, closed {room.closed}")
        for stage in STAGES:
            if stage.id not in room.decided:
                continue
            print(f"  {stage.title}: {room.decided[stage.id]} decided")
            asked = [f"{book.vocabulary.by_id[i].label.lower()} {n}" for i, n in room.asked[stage.id].items()]
            if asked:
                print(
                    textwrap.fill(
                        f"asked: {', '.join(asked)}", WIDTH, initial_indent="    ", subsequent_indent="      "
                    )
                )
            for (item, side), choice in room.stages[stage.id].items():
                label = words.get(item) or items[item].label
                where = f", {side}" if side != PERSON else ""
                sign = f"! harmful for {choice.harmful}: " if choice.harmful else ""
                print(f"    {len(choice.codes):3} {sign}{label}{where} ({' '.join(choice.codes)})")
    return DONE
