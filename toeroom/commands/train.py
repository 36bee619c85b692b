"""`toeroom train`: a case to walk through, what comes of it, and what a trainer wants to see."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.book import Book, open_book
from toeroom.case import Case, read_case
from toeroom.commands.common import DONE, add_command, show_faults, show_json
from toeroom.errors import BadInput, nearest
from toeroom.files import write_whole

if TYPE_CHECKING:
    from toeroom.training.session import Session
    from toeroom.training.walk import Walk

ENDINGS = (".md", ".html", ".txt")


def add(commands: Any) -> None:
    """Declares the command."""
    train = add_command(commands, "train", "walks through a case and marks what is decided", _train)
    train.add_argument(
        "cases", nargs="*", metavar="CASE", help="a case file, the id of a demo case, a session"
    )
    train.add_argument("--trainee", metavar="CODE", default="", help="letters and a digit, never a name")
    train.add_argument("--resume", action="store_true", help="go on with the session left last")
    train.add_argument("--answers", type=Path, metavar="FILE", help="a scripted trainee")
    train.add_argument("--debrief", type=Path, metavar="FILE", help="keep the debrief: .md, .html or .txt")
    train.add_argument("--sessions", type=Path, metavar="DIR", help="where sessions are kept")
    train.add_argument("--variant", type=int, metavar="N", default=0, help="the case varied; 0: as it is")
    train.add_argument("--next", action="store_true", help="which case comes next for a trainee")
    train.add_argument("--progress", action="store_true", help="how a trainee stands, or all of them")
    train.add_argument("--csv", action="store_true", help="all closed walks as a table")
    train.add_argument(
        "--class",
        dest="room",
        type=Path,
        metavar="DIR",
        help="what a room decided, from its folder of sessions",
    )
    train.add_argument("--list", action="store_true", help="the cases there are")
    train.add_argument(
        "--check", action="store_true", help="what is wrong with training cases, a line a fault"
    )


def _train(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    if options.trainee:
        from toeroom.training.journal import trainee_code

        trainee_code(options.trainee)
    if options.debrief and options.debrief.suffix not in ENDINGS:
        mend = "end it in .md, .html or .txt"
        raise BadInput("cannot be told by its ending", file=str(options.debrief), mend=mend)
    if options.list:
        return _list(book, options)
    if options.check:
        return _check(book, options)
    if options.next or options.progress or options.csv or options.room:
        return _report(book, options)
    if options.resume:
        return _resume(book, options)
    if len(options.cases) != 1:
        raise BadInput("name one case", file="train", mend="see 'toeroom train --list'")
    if options.cases[0].endswith(".session.jsonl"):
        return _show_session(book, options)
    case = _case(book, options.cases[0])
    varied = _varied(book, case, options.variant)
    if options.answers:
        return _scripted(book, varied, options)
    return _interactive(book, varied, case.id, options)


def _report(book: Book, options: argparse.Namespace) -> int:
    from toeroom.commands.training_reports import show_class, show_csv, show_next, show_progress

    if options.room:
        return show_class(book, options)
    if options.csv:
        return show_csv(options)
    return show_next(book, options) if options.next else show_progress(book, options)


def _case(book: Book, text: str) -> Case:
    """The case in a file, or the demo case of that id."""
    demo = book.cases_demo / f"{text}.yaml"
    if not Path(text).exists() and "/" not in text and demo.is_file():
        return read_case(demo, book.vocabulary)
    if not Path(text).exists():
        ids = [path.stem for path in book.cases_demo.glob("*.yaml")]
        near = nearest(text, {i.replace("-", "_"): i for i in ids}).replace("_", "-")
        raise BadInput("there is no such case", file=text, mend=near or "see 'toeroom train --list'")
    return read_case(text, book.vocabulary)


def _varied(book: Book, case: Case, seed: int) -> Case:
    from toeroom.training.variants import LONGEST_SEED, variant

    if not 0 <= seed <= LONGEST_SEED:
        raise BadInput(f"there is no variant {seed}", file="--variant", mend=f"use 0 to {LONGEST_SEED}")
    return variant(book.planner, case, seed)


def _check(book: Book, options: argparse.Namespace) -> int:
    """What is wrong with the named cases, or with those of the book."""
    from toeroom.training.checking import faults

    paths = [Path(text) for text in options.cases] or sorted(book.cases_demo.glob("*.yaml"))
    found = [fault for path in paths for fault in faults(book.planner, path)]
    return show_faults(found, options.json, f"{len(paths)} training cases: nothing is wrong")


def _list(book: Book, options: argparse.Namespace) -> int:
    from toeroom.training.library import demo_cases
    from toeroom.wording import printable

    for case in demo_cases(book):
        title = case.lesson.title
        if options.json:
            show_json({"case": case.id, "grade": case.grade, "title": title})
        else:
            print(f"{case.grade:9} {case.id:32} {printable(title)}")
    return DONE


# --- a walk ----------------------------------------------------------------------------------------
def _interactive(book: Book, case: Case, of: str, options: argparse.Namespace) -> int:
    from toeroom.training.journal import sessions_folder
    from toeroom.training.session import Session

    _no_json(options)
    folder = sessions_folder(options.sessions)
    return _walk(Session.begin(book.planner, case, folder, trainee=options.trainee, of=of), options)


def _resume(book: Book, options: argparse.Namespace) -> int:
    from toeroom.training.journal import sessions_folder
    from toeroom.training.session import Session, unfinished

    _no_json(options)
    if options.answers or options.variant:
        raise BadInput("a walk is gone on with as it is", file="train --resume", mend="leave the rest out")
    case_id = _case(book, options.cases[0]).id if options.cases else ""
    recorded = unfinished(sessions_folder(options.sessions), options.trainee, case_id)
    if recorded is None:
        raise BadInput("no session was left unfinished", file="train --resume", mend="name a case to begin")
    return _walk(Session.resume(book.planner, recorded), options)


def _no_json(options: argparse.Namespace) -> None:
    if options.json:
        raise BadInput("a walk by hand shows no JSON", file="train --json", mend="add --answers FILE")


def _walk(session: Session, options: argparse.Namespace) -> int:
    from toeroom.commands.walking import walk_in_terminal

    walk_in_terminal(session)
    if not session.walk.closed:
        who = f" --trainee {session.trainee}" if session.trainee else ""
        print(f"Kept. 'toeroom train --resume{who}' goes on here.")
        return DONE
    print()
    _show_debrief(session.walk, options, session.trainee, session.seconds)
    print(f"\nKept in {session.path}")
    return DONE


def _scripted(book: Book, case: Case, options: argparse.Namespace) -> int:
    from toeroom.training.answers_file import follow, read_answers
    from toeroom.training.decisions import offer_of
    from toeroom.training.walk import Walk

    walk = Walk(book.planner, case)
    follow(walk, offer_of(book.planner), read_answers(options.answers), str(options.answers))
    if options.json:
        show_json({**walk.as_json(), "trainee": options.trainee})
    if not options.json or options.debrief:
        _show_debrief(walk, options, options.trainee, None)
    return DONE


def _show_session(book: Book, options: argparse.Namespace) -> int:
    """The debrief of a session that was kept."""
    from toeroom.training.journal import read_journal
    from toeroom.training.session import Session

    recorded = read_journal(Path(options.cases[0]))
    session = Session.looked_at(book.planner, recorded)
    walk, seconds = session.walk, session.seconds
    if options.json:
        show_json({**walk.as_json(), "trainee": recorded.trainee, "seconds": round(seconds)})
    if not options.json or options.debrief:
        _show_debrief(walk, options, recorded.trainee, seconds)
    return DONE


def _show_debrief(walk: Walk, options: argparse.Namespace, trainee: str, seconds: float | None) -> None:
    """Shows the debrief, and keeps it where that was asked for."""
    from toeroom.training.debrief import debrief
    from toeroom.training.debrief_pages import as_html, as_markdown, as_text

    blocks = debrief(walk, trainee=trainee, seconds=seconds)
    if options.debrief:
        written = dict(zip(ENDINGS, (as_markdown, as_html, as_text), strict=True))
        write_whole(options.debrief, written[options.debrief.suffix](blocks))
    if not options.json:
        print(as_text(blocks), end="")
