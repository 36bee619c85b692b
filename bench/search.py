"""The search of the handbook beside two other engines: `python bench/search.py`.

The same sections and questions, by Whoosh as the handbook uses it, by bm25s and by tantivy, each of
these once with its own way with words and once on the terms the handbook works out (synonyms, word
forms, askings). Figures are printed as the tables in docs/search-timings.md. bm25s and tantivy are
not needed by toeroom: `pip install bm25s tantivy`; one that is missing is skipped.
"""

from __future__ import annotations

import argparse
import importlib
import itertools
import json
import random
import shutil
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import median, quantiles
from typing import Any

from whoosh.lang.porter import stem

from toeroom.handbook import Handbook
from toeroom.handbook.asked import read_asked
from toeroom.handbook.index import build, read_content, synonyms_of
from toeroom.handbook.sections import sections_of

ROOT = Path(__file__).parent.parent
QUESTIONS = ROOT / "tests" / "answers" / "questions_dev.jsonl"
INDEXED, LARGE, LOOKED_AT = 500, 20_000, 100
PAGE = """---
id: {id}
title: "{title}"
shelf: {shelf}
words: [{words}]
findings: []
items: []
sources:
  - {{key: common-practice, at: made up, grade: common practice}}
author: bench
reviewed: 2026-11-25
review_by: 2027-11-25
status: active
---
{body}
"""


@dataclass(frozen=True)
class Book:
    """What is searched: a section each by its page, its own words, and its terms as the handbook has them."""

    folder: Path
    pages: list[str]
    texts: list[str]
    terms: list[list[str]]


Search = Callable[[str], list[str]]


@dataclass(frozen=True)
class Engine:
    """How an engine is called, and how it makes a search of a book; the search gives pages, best first."""

    name: str
    open: Callable[[Book], Search]


def read_book(folder: Path) -> Book:
    """The book in `folder`; title, other words and askings of a page stand with each of its sections."""
    handbook = Handbook(folder)
    asked = read_asked((folder / "kb/asked.yaml").read_text(encoding="utf-8"), folder / "kb/asked.yaml")
    book = Book(folder, [], [], [])
    for page in handbook.pages.values():
        askings = asked[page.id].texts if page.id in asked else ()
        called = "\n".join((page.title, *page.words, *askings))
        for section in sections_of(page):
            text = f"{called}\n{section.heading}\n{section.text}"
            book.pages.append(page.id)
            book.texts.append(text)
            book.terms.append(handbook.synonyms.terms(text))
    return book


def question_terms(book: Book) -> Callable[[str], list[str]]:
    """How the handbook turns a question into terms, its spelling left as it is."""
    synonyms = synonyms_of(read_content(book.folder))

    def terms(text: str) -> list[str]:
        words = synonyms.words(text)
        meanings = synonyms.meanings(words, question=True)
        return [word.stem for word in words if word.searched] + [meaning.term for meaning in meanings]

    return terms


def whoosh_as_used(book: Book) -> Search:
    with tempfile.TemporaryDirectory() as kept:
        handbook = Handbook(book.folder, cache=Path(kept))
        handbook.search("shoe")
    return lambda text: [hit.page for hit in handbook.search(text).hits]


def whoosh_without_passages(book: Book) -> Search:
    """The pages are ranked and none shown: what the passages cost."""
    with tempfile.TemporaryDirectory() as kept:
        handbook = Handbook(book.folder, cache=Path(kept))
        handbook.search("shoe")
    return lambda text: [hit.page for hit in handbook.search(text, limit=0).hits]


def bm25s_own_words(book: Book) -> Search:
    bm25s: Any = importlib.import_module("bm25s")

    def stems(words: list[str]) -> list[str]:
        return [stem(word) for word in words]

    def cut(texts: list[str]) -> list[list[str]]:
        found: list[list[str]] = bm25s.tokenize(
            texts, stopwords="en", stemmer=stems, return_ids=False, show_progress=False
        )
        return found

    return _bm25s(book, cut(book.texts), lambda text: cut([text])[0])


def bm25s_our_terms(book: Book) -> Search:
    return _bm25s(book, book.terms, question_terms(book))


def _bm25s(book: Book, corpus: list[list[str]], ask: Callable[[str], list[str]]) -> Search:
    bm25s: Any = importlib.import_module("bm25s")
    engine = bm25s.BM25()
    engine.index(corpus, show_progress=False)
    most = min(LOOKED_AT, len(corpus))

    def search(text: str) -> list[str]:
        found, scores = engine.retrieve([ask(text)], k=most, show_progress=False)
        return best_pages(book, [int(n) for n, s in zip(found[0], scores[0], strict=True) if s > 0])

    return search


def tantivy_own_words(book: Book) -> Search:
    index = _tantivy(book.texts, "en_stem")

    def search(text: str) -> list[str]:
        plain = "".join(sign if sign.isalnum() else " " for sign in text)
        query, _ = index.parse_query_lenient(plain, ["text"])
        return _tantivy_pages(book, index, query)

    return search


def tantivy_our_terms(book: Book) -> Search:
    tantivy: Any = importlib.import_module("tantivy")
    terms_of = question_terms(book)
    index = _tantivy([" ".join(terms) for terms in book.terms], "whitespace")

    def search(text: str) -> list[str]:
        wanted = [
            (tantivy.Occur.Should, tantivy.Query.term_query(index.schema, "text", term))
            for term in terms_of(text)
        ]
        return _tantivy_pages(book, index, tantivy.Query.boolean_query(wanted)) if wanted else []

    return search


def _tantivy(texts: list[str], tokenizer: str) -> Any:
    tantivy: Any = importlib.import_module("tantivy")
    schema = (
        tantivy.SchemaBuilder()
        .add_text_field("text", tokenizer_name=tokenizer)
        .add_integer_field("number", stored=True)
        .build()
    )
    index = tantivy.Index(schema)
    writer = index.writer(num_threads=1)
    for number, text in enumerate(texts):
        writer.add_document(tantivy.Document(text=text, number=number))
    writer.commit()
    writer.wait_merging_threads()
    index.reload()
    return index


def _tantivy_pages(book: Book, index: Any, query: Any) -> list[str]:
    searcher = index.searcher()
    hits = searcher.search(query, LOOKED_AT).hits
    return best_pages(book, [searcher.doc(place)["number"][0] for _, place in hits])


def best_pages(book: Book, sections: Sequence[int]) -> list[str]:
    """The pages of sections, each by its best one."""
    return list(dict.fromkeys(book.pages[number] for number in sections))


ENGINES = (
    Engine("Whoosh, as the handbook uses it", whoosh_as_used),
    Engine("the same, no passages made", whoosh_without_passages),
    Engine("bm25s, its own words", bm25s_own_words),
    Engine("bm25s, our terms", bm25s_our_terms),
    Engine("tantivy, its own words", tantivy_own_words),
    Engine("tantivy, our terms", tantivy_our_terms),
)


def made_book(folder: Path, sections: int) -> None:
    """The shipped book in `folder`, with made pages beside it until there are `sections` sections.

    A made page has six sections of some hundred words, put together so that each word follows one it
    follows somewhere in the shipped pages: common words stay common and rare ones rare.
    """
    shutil.copytree(ROOT / "kb", folder / "kb")
    shutil.copytree(ROOT / "rules", folder / "rules")
    own = [section for page in Handbook(ROOT).pages.values() for section in sections_of(page)]
    following: dict[str, list[str]] = defaultdict(list)
    for section in own:
        words = [word.strip('.,:;()"|') for word in section.text.split()]
        words = [word for word in words if word.isalpha()]
        for word, after in itertools.pairwise(words):
            following[word].append(after)
    chance, starts = random.Random(3), sorted(following)

    def said(count: int) -> str:
        words = [chance.choice(starts)]
        while len(words) < count:
            words.append(chance.choice(following.get(words[-1]) or starts))
        return " ".join(words)

    for number in range((sections - len(own) + 5) // 6):
        parts = [said(60), *(f"## {said(4)}\n\n{said(60)}.\n\n- {said(25)}\n- {said(25)}" for _ in range(5))]
        name = f"made-{number}"
        page = PAGE.format(
            id=name, title=said(5), shelf="shoes", words=", ".join(said(2) for _ in range(6)),
            body="\n\n".join(parts),
        )  # fmt: skip
        (folder / "kb" / "shoes" / f"{name}.md").write_text(page, encoding="utf-8")


def first_sections(folder: Path, sections: int) -> None:
    """The first pages of the shipped book that hold `sections` sections, in `folder`."""
    shutil.copytree(ROOT / "rules", folder / "rules")
    shutil.copytree(ROOT / "kb", folder / "kb", ignore=shutil.ignore_patterns("*.md"))
    held = 0
    for page in Handbook(ROOT).pages.values():
        if held < sections:
            held += len(sections_of(page))
            shutil.copy(page.file, folder / "kb" / page.shelf)


def time_of(run: Callable[[], object]) -> float:
    """Seconds that one run took."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def quality(ranked: list[list[str]], questions: list[dict[str, Any]]) -> tuple[float, ...]:
    """The share of questions with a right page first, and among the first three."""
    return tuple(
        sum(bool(set(pages[:k]) & set(q["pages"])) for pages, q in zip(ranked, questions, strict=True))
        / len(questions)
        for k in (1, 3)
    )


def compare(book: Book, questions: list[dict[str, Any]], rounds: int) -> None:
    """A table of engines: quality, and milliseconds of a search, asked for the first time and again."""
    print("| engine | hit@1 | hit@3 | first 95 % ms | median ms | 95 % ms |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    texts = [question["text"] for question in questions]
    for engine in ENGINES:
        try:
            search = engine.open(book)
        except ModuleNotFoundError as missing:
            print(f"| {engine.name} | skipped: {missing.name} is not installed | | | | |")
            continue
        first = [time_of(partial(search, text)) * 1000 for text in texts]
        shown = " | ".join(
            f"{share:.3f}" if share else "" for share in quality([*map(search, texts)], questions)
        )
        taken = [time_of(partial(search, text)) * 1000 for text in texts * rounds]
        slowest = (quantiles(first, n=20)[-1], median(taken), quantiles(taken, n=20)[-1])
        print(f"| {engine.name} | {shown} | {' | '.join(f'{ms:.1f}' for ms in slowest)} |")


def index_times(book: Book, times: int) -> None:
    """A table of how long it takes to index a book."""
    print("| engine | seconds to index |\n| --- | ---: |")
    content = read_content(book.folder)
    synonyms = synonyms_of(content)
    taken = min(time_of(partial(build, content, synonyms)) for _ in range(times))
    print(f"| Whoosh, as the handbook uses it: from the bytes of the pages | {taken:.2f} |")
    taken = min(time_of(partial(read_book, book.folder)) for _ in range(times))
    print(f"| reading pages and working out terms, before any of the following | {taken:.2f} |")
    for engine in ENGINES[2:]:
        try:
            taken = min(time_of(partial(engine.open, book)) for _ in range(times))
        except ModuleNotFoundError as missing:
            print(f"| {engine.name} | skipped: {missing.name} is not installed |")
        else:
            print(f"| {engine.name}: from its texts or terms | {taken:.2f} |")


def main() -> None:
    parser = argparse.ArgumentParser(description="Compare Whoosh, bm25s and tantivy on the handbook.")
    parser.add_argument("--sections", type=int, default=LARGE, help="sections of the made book")
    sections = parser.parse_args().sections
    questions = [json.loads(line) for line in QUESTIONS.read_text(encoding="utf-8").splitlines()]
    questions = [question for question in questions if question["pages"]]
    shipped = read_book(ROOT)
    print(f"{len(questions)} questions, Python {sys.version.split()[0]}\n")
    print(f"Shipped book, {len(shipped.texts)} sections:\n")
    compare(shipped, questions, 5)
    with tempfile.TemporaryDirectory() as name:
        first_sections(Path(name), INDEXED)
        part = read_book(Path(name))
        print(f"\nIndexing {len(part.texts)} sections, best of 3:\n")
        index_times(part, 3)
    with tempfile.TemporaryDirectory() as name:
        made_book(Path(name), sections)
        large = read_book(Path(name))
        print(f"\nMade book, {len(large.texts):,} sections:\n")
        compare(large, questions, 2)
        print(f"\nIndexing {len(large.texts):,} sections, once:\n")
        index_times(large, 1)


if __name__ == "__main__":
    main()
