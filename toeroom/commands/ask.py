"""`toeroom ask`: an answer to a question or a described situation, or a conversation."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from pathlib import Path
from typing import Any

from toeroom.answers.answering import Answerer
from toeroom.answers.conversation import Conversation
from toeroom.book import open_book
from toeroom.case import Case, case_as_yaml, read_case
from toeroom.commands.common import DONE, add_command, show_json, texts_of
from toeroom.errors import BadInput
from toeroom.files import write_whole


def add(commands: Any) -> None:
    """Declares the command."""
    ask = add_command(commands, "ask", "answers from the handbook and the rules; - reads lines", _ask)
    ask.add_argument("text", metavar="TEXT", nargs="?", help="left out: a conversation, line by line")
    ask.add_argument("--case", metavar="CASE.yaml", help="ask about this case")
    ask.add_argument(
        "--save", metavar="CASE.yaml", help="after a conversation: write what is known as a case"
    )
    ask.add_argument("--markdown", metavar="FILE.md", help="after a conversation: write it down")


def _ask(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    case = read_case(options.case, book.vocabulary) if options.case else None
    answerer = Answerer(book)
    if options.text is None:
        return _talk(options, answerer, case or Case("talk", date.today()))
    if options.save or options.markdown:
        raise BadInput("--save and --markdown belong to a conversation", mend="leave TEXT out")
    for text in texts_of(options.text):
        reply = answerer.reply(text, case)
        if options.json:
            show_json(reply.as_json())
        else:
            from toeroom.printing import console
            from toeroom.printing_replies import print_reply

            print_reply(console(), reply, book.vocabulary)
    return DONE


def _talk(options: argparse.Namespace, answerer: Answerer, case: Case) -> int:
    """Reads a line, answers it, until the input ends."""
    from toeroom.printing import console
    from toeroom.printing_replies import print_turn

    out, conversation = console(), Conversation(answerer, case)
    vocabulary = answerer.book.vocabulary
    if sys.stdin.isatty():
        print("Say what you see, or ask. End with Ctrl-D.")
    for line in sys.stdin:
        if line.strip():
            print_turn(out, conversation.say(line.strip()), vocabulary)
    if options.save:
        write_whole(Path(options.save), case_as_yaml(conversation.case, vocabulary))
    if options.markdown:
        write_whole(Path(options.markdown), conversation.as_markdown())
    return DONE
