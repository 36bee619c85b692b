"""Cue lists: what turns a word for a finding into no, unknown or nothing.

Classes after NegEx (Chapman et al. 2001, J Biomed Inform 34:301) and ConText (Harkema et al. 2009,
J Biomed Inform 42:839): cues before and after, cues that only look like one, words that end a
scope, and besides negation what is hypothetical, past, or of another person.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import cast

from toeroom.answers.lexicon import Lexicon, LexiconData, make_lexicon, read_lexicon
from toeroom.answers.patterns import Hit, Phrases, longest
from toeroom.answers.tokens import Token, tokenise
from toeroom.errors import BookFault
from toeroom.vocabulary import Vocabulary
from toeroom.yamltree import read_book_file

SCOPED = (
    "pseudo",
    "still_there",
    "negation_before",
    "negation_short",
    "negation_after",
    "gone_after",
    "unknown_before",
    "unknown_after",
    "believed",
    "whatif_before",
    "whatif_after",
    "reported",
    "history_before",
    "history_after",
    "corrections",
    "but",
)
LISTS = (
    *SCOPED,
    "general",
    "about_a_person",
    "still",
    "lasting",
    "never_gone",
    "verbs",
    "yes_words",
    "no_words",
    "unknown_words",
    "same_words",
    "one_words",
    "same_place",
    "good",
    "bad",
)
KEYS = {*LISTS, "others", "past_becomes", "emergencies"}


@dataclass(frozen=True, slots=True)
class Emergency:
    """Something that comes before any question: its id, the line to say, the phrases that show it."""

    id: str
    say: str
    words: tuple[str, ...]


@dataclass
class Cues:
    """The cue lists and the lexicon of a book; makes each lexicon once per vocabulary."""

    lists: dict[str, tuple[str, ...]]
    others: dict[str, tuple[str, ...]]
    past_becomes: dict[str, str]
    emergencies: tuple[Emergency, ...]
    data: LexiconData
    _lexicons: list[tuple[Vocabulary, Lexicon]] = field(default_factory=list)

    @cached_property
    def scoped(self) -> Phrases[str]:
        """The cues that compete for words: the longest wins whatever its class."""
        return Phrases([(p, kind) for kind in SCOPED for p in self.lists[kind]])

    @cached_property
    def sets(self) -> dict[str, Phrases[str]]:
        """Each further list by itself."""
        named = {name: self.lists[name] for name in LISTS if name not in SCOPED} | self.others
        return {name: Phrases([(p, name) for p in phrases]) for name, phrases in named.items()}

    @cached_property
    def alarms(self) -> Phrases[str]:
        """Phrases of emergencies, each with the id of its emergency."""
        return Phrases([(w, e.id) for e in self.emergencies for w in e.words])

    def sets_gone(self, words: Sequence[str]) -> bool:
        """Whether `words` (stems) begin with a cue that something has healed or gone."""
        return bool(words) and any(
            p.split()[0] == words[0] for p in self.lists["gone_after"] if p.split()[0] != "has"
        )

    def lexicon(self, vocabulary: Vocabulary) -> Lexicon:
        """The lexicon of `vocabulary`."""
        for known, lexicon in self._lexicons:
            if known is vocabulary:
                return lexicon
        words = set(self.scoped.words).union(*(s.words for s in self.sets.values()))
        lexicon = make_lexicon(self.data, vocabulary, words)
        self._lexicons.append((vocabulary, lexicon))
        return lexicon

    def hits(self, tokens: Sequence[Token], stems: Sequence[str]) -> list[Hit[str]]:
        """The scoped cues in a sentence, none overlapping."""
        return longest(self.scoped.find(tokens, stems))


def read_cues(kb: Path) -> Cues:
    """Cue lists and lexicon of the handbook folder `kb`; `BookFault` where they are not as documented."""
    path = kb / "cues.yaml"
    tree = read_book_file(path).plain()
    if not isinstance(tree, dict):
        raise BookFault("is not a list of cues", file=str(path), mend="see docs/understanding.md")
    data = cast(dict[str, list[str]], tree)
    if set(data) != KEYS:
        odd = sorted(set(data) ^ KEYS)[0]
        raise BookFault(
            f"'{odd}' is missing or not known here", file=str(path), mend="see docs/understanding.md"
        )
    return Cues(
        {name: tuple(data[name]) for name in LISTS},
        {name: tuple(v) for name, v in cast(dict[str, list[str]], data["others"]).items()},
        cast(dict[str, str], data["past_becomes"]),
        tuple(
            Emergency(e["id"], e["say"], tuple(e["words"]))
            for e in cast(list[dict[str, str]], data["emergencies"])
        ),
        read_lexicon(kb / "lexicon.yaml"),
    )


def emergencies(text: str, cues: Cues) -> list[Emergency]:
    """The emergencies that `text` speaks of, in the order of the list; not those it denies or supposes.

    A denial counts only directly before the words ("no chest pain"); where in doubt, it is one.
    """
    tokens = tokenise(text)
    stems = [t.stem for t in tokens]
    denied = {"no", "not", "never", "without", "denie", "denied", "nil", "if", "leaflet", "any"}
    found = {
        hit.meaning
        for hit in cues.alarms.find(tokens, stems)
        if not denied.intersection(stems[max(0, hit.start - 2) : hit.start])
    }
    return [e for e in cues.emergencies if e.id in found]
