"""`toeroom tour`: the app, beginning with its tour."""

from __future__ import annotations

import argparse
from typing import Any

from toeroom.commands.common import DONE, add_command


def add(commands: Any) -> None:
    """Declares the command."""
    add_command(commands, "tour", "the app, with a tour of two minutes on an invented case", _tour)


def _tour(options: argparse.Namespace) -> int:
    # A face: no other command waits for it.
    from tui.app import run_app

    run_app(options.book, tour=True)
    return DONE
