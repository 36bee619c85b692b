"""What stands where in one sentence: its cues, and small looks around a mention."""

from __future__ import annotations

from collections.abc import Sequence

from toeroom.answers.clauses import Sentence
from toeroom.answers.cues import Cues
from toeroom.answers.lexicon import Lexicon
from toeroom.answers.mentions import Mention
from toeroom.answers.patterns import SKIPPED, Hit
from toeroom.answers.sides import SideHit

_LIGHT = {"is", "very", "really", "all", "wear", "wearing", "have", "use", "keep", "got", "any", "be"}
TURNS = {"but", "however", "although", "though", "except", "apart", "aside", "whereas", "while", "yet"}
_BETWEEN_NOT_AND_WORD = SKIPPED | {"very", "so", "too", "quite", "all", "really", "is", "be", "been"}


class Looks:
    """One sentence with its mentions, cues and sides."""

    def __init__(
        self,
        sentence: Sentence,
        mentions: Sequence[Mention],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
        cues: Cues,
        lexicon: Lexicon,
    ) -> None:
        self.sentence, self.mentions, self.sides = sentence, mentions, sides
        self.cues, self.lexicon = cues, lexicon
        self.stems, self.tokens = sentence.stems, sentence.tokens
        self.hits: dict[str, list[Hit[str]]] = {}
        for hit in hits:
            self.hits.setdefault(hit.meaning, []).append(hit)
        self.covered = {i for m in mentions if m.role != "about" for i in range(m.start, m.end)}
        self.phrase_hits: dict[str, list[Hit[str]]] = {}

    def _of(self, kind: str) -> list[Hit[str]]:
        return self.hits.get(kind, [])

    def _found(self, name: str) -> list[Hit[str]]:
        if name not in self.phrase_hits:
            self.phrase_hits[name] = self.cues.sets[name].find(self.tokens, self.stems)
        return self.phrase_hits[name]

    def _inside(self, hit: Hit[str], mention: Mention) -> bool:
        return mention.start <= hit.start < mention.end

    def _turn_between(self, start: int, end: int) -> bool:
        return any(w in TURNS or w == ";" for w in self.stems[start:end])

    def _gap(self, start: int, end: int) -> int:
        return sum(w not in SKIPPED and w not in _LIGHT for w in self.stems[start:end])

    def _text(self, start: int, end: int) -> str:
        return " ".join(t.norm for t in self.tokens[start:end])

    def _is_place(self, mention: Mention) -> bool:
        judgements = self.lexicon.judgements.get(mention.id)
        return mention.role == "about" and judgements is not None and judgements.place

    def _negated_closely(self, start: int) -> bool:
        for i in range(start - 1, max(-1, start - 3), -1):
            if self.stems[i] in {"not", "never", "no"}:
                return True
            if self.stems[i] not in _BETWEEN_NOT_AND_WORD:
                return False
        return False
