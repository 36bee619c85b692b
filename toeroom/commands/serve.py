"""`toeroom serve`: the app in a browser on this computer."""

from __future__ import annotations

import argparse
from contextlib import suppress
from pathlib import Path
from typing import Any

from toeroom.book import open_book
from toeroom.case import read_case
from toeroom.commands.common import DONE, add_command, show_json

TOLD = """\
toeroom can be opened in a browser on this computer:

  {address}

The address is a key. Whoever is logged in on this computer and has it works as you: reads and writes
your case files. Nobody without it gets an answer, and nothing is open to the network. Do not send it
on. It is good until this command ends; the next time there is another.

Each tab is a session of its own. Closing the tab ends it, and what was not saved in it is lost.
ctrl+c here ends them all."""


def add(commands: Any) -> None:
    """Declares the command."""
    serve = add_command(commands, "serve", "the app in a browser, on this computer only", _serve)
    serve.add_argument("case", metavar="CASE.yaml", nargs="?", type=Path, help="a case to open first")
    serve.add_argument(
        "--port", type=int, default=0, metavar="N", help="a port of your choice; else a free one"
    )


def _serve(options: argparse.Namespace) -> int:
    # A face, with libraries of an extra: no other command waits for it.
    from tui.serving import need_extra

    need_extra()
    from tui.serving.server import LoopbackServer, listen

    book = open_book(options.book)
    if options.case is not None:
        read_case(options.case, book.vocabulary)
    arguments = [str(book.folder), *([str(options.case)] if options.case else [])]
    server = LoopbackServer(arguments, listen(options.port))
    # ctrl+c is how it ends, from the moment that is said.
    with suppress(KeyboardInterrupt):
        if options.json:
            show_json({"address": server.address, "port": server.port})
        else:
            print(TOLD.format(address=server.address))
        # What is read through a pipe must not wait for a full buffer.
        print(end="", flush=True)
        server.serve()
    return DONE
