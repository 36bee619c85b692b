"""Templates to Markdown: found in a clinic's folder before ours, run where they can do no harm."""

from __future__ import annotations

import re
import traceback
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from jinja2 import FileSystemLoader, StrictUndefined, TemplateError, TemplateNotFound, TemplateSyntaxError
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from toeroom.errors import BookFault
from toeroom.papers.escaping import as_markdown, shown
from toeroom.papers.marks import BOX, DRAWING

FOLDER = "papers"
LOW_LINE = "_"
"""A run of these, four or more, is a line to write on."""


def folders(book: Path, own: Path | None) -> tuple[Path, ...]:
    """Where templates are looked for: the folder named, the book's, the one shipped."""
    from toeroom.book import shipped_folder

    if own is not None and not own.is_dir():
        raise BookFault("there is no such folder", file=str(own), mend="name a folder of templates")
    return tuple(folder for folder in (own, book / FOLDER, shipped_folder() / FOLDER) if folder is not None)


def fill(name: str, contents: Mapping[str, object], where: Sequence[Path]) -> str:
    """The Markdown of the template `name`.md; `BookFault` names the template and line of what is wrong."""
    try:
        text = _environment(where).get_template(f"{name}.md").render(contents)
    except TemplateNotFound as error:
        raise BookFault(
            "there is no such template", file=str(error.name), mend=f"one of {where[-1]}"
        ) from None
    except TemplateSyntaxError as error:
        raise BookFault(
            f"is not a template ({error.message})",
            file=error.filename or f"{name}.md",
            line=error.lineno,
            mend="see docs/papers.md",
        ) from None
    except UnicodeDecodeError:
        raise BookFault("is not UTF-8 text", file=f"{name}.md", mend="save it as UTF-8") from None
    except RecursionError:
        raise BookFault("includes itself", file=f"{name}.md", mend="see docs/papers.md") from None
    except (TemplateError, TypeError, ValueError, ArithmeticError, LookupError, AttributeError) as error:
        file, line = _place(error, where, name)
        raise BookFault(
            str(error) or "cannot be filled", file=file, line=line, mend="see docs/papers.md"
        ) from None
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def _environment(where: Sequence[Path]) -> ImmutableSandboxedEnvironment:
    environment = ImmutableSandboxedEnvironment(
        loader=FileSystemLoader([str(folder) for folder in where]),
        undefined=StrictUndefined,
        autoescape=True,
        finalize=shown,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        day=in_words, lower_first=_lower_first, capitalize_first=_capitalize_first, list_of=_list_of
    )
    environment.globals.update(blank=_blank, box=Markup(BOX), drawing=_drawing)
    return environment


def in_words(day: date | None) -> str:
    """`25 November 2026`; nothing for no day."""
    return f"{day.day} {day:%B} {day.year}" if day is not None else ""


def _lower_first(text: str) -> str:
    return text[0].lower() + text[1:] if text[1:2].islower() else text


def _capitalize_first(text: str) -> str:
    return text[:1].upper() + text[1:]


def _list_of(texts: Sequence[object], between: str = ", ") -> Markup:
    """Texts in one line. Not `join`, which would leave marks of Markdown unescaped beside markup."""
    return Markup(between).join(t if isinstance(t, Markup) else as_markdown(str(t)) for t in texts)


def _blank(length: int = 20) -> Markup:
    """A line to write on. A space stands before it in a template: then no viewer takes it for emphasis."""
    return Markup(LOW_LINE * max(4, min(int(length), 90)))


def _drawing(name: str, says: str) -> Markup:
    """A drawing; `says` is what it shows, in words and figures, for who cannot see it."""
    return Markup(f"![{as_markdown(says)}]({DRAWING}{re.sub('[^a-z-]', '', name)})")


def _place(error: BaseException, where: Sequence[Path], name: str) -> tuple[str, int]:
    """The template and line that were being filled when `error` was raised."""
    for frame in reversed(traceback.extract_tb(error.__traceback__)):
        if any(Path(frame.filename).is_relative_to(folder) for folder in where):
            return frame.filename, frame.lineno or 0
    return f"{name}.md", 0
