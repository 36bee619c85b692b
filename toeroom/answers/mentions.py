"""The findings that a sentence names, before it is judged what is said of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from toeroom.answers.clauses import Sentence
from toeroom.answers.lexicon import Lexicon, Meaning
from toeroom.answers.patterns import Hit
from toeroom.answers.sides import OPPOSITE, PERSON, UNSAID, SideHit, is_side_of_number
from toeroom.vocabulary import Vocabulary

YES, NO, UNKNOWN = "yes", "no", "unknown"
FLIPPED = {YES: NO, NO: YES}


@dataclass
class Mention:
    """A finding named in a sentence; `role` as in `lexicon.Meaning`; `value` "" while it says nothing."""

    id: str
    role: str
    start: int
    end: int
    value: str = ""
    side: str = ""
    cue: str = ""
    segment: int = 0
    presupposed: bool = False
    topical: bool = False
    sided: bool = False


def find_mentions(sentence: Sentence, lexicon: Lexicon, vocabulary: Vocabulary) -> list[Mention]:
    """The findings named in `sentence`; the phrase that accounts for most of the text wins."""
    hits = sorted(lexicon.findings.find(sentence.tokens, sentence.stems), key=lambda h: (h.start, -h.end))
    labels = [h for h in lexicon.measures.find(sentence.tokens, sentence.stems) if h.end - h.start > 1]
    kept: list[Mention] = []
    for hit in hits:
        if hit.meaning.role == "nothing" or is_side_of_number(sentence.tokens, hit.end - 1):
            continue
        if hit.meaning.role == "about" and any(h.start <= hit.start < h.end for h in labels):
            continue
        inside = _holds(
            hit, [h for h in hits if h.start <= hit.end and h.end >= hit.start and h is not hit], lexicon
        )
        if inside is None:
            continue
        mention = Mention(hit.meaning.id, hit.meaning.role, hit.start, hit.end, presupposed=inside)
        mention.topical = any(
            h.meaning == Meaning(mention.id, "about") and hit.start <= h.start < hit.end for h in hits
        )
        mention.sided = vocabulary.by_id[mention.id].scope == "foot"
        mention.side = UNSAID if mention.sided else PERSON
        if not any(m.id == mention.id and m.start < mention.end and mention.start < m.end for m in kept):
            kept.append(mention)
    return kept


def _holds(hit: Hit[Meaning], rivals: Iterable[Hit[Meaning]], lexicon: Lexicon) -> bool | None:
    """None where a longer phrase takes the words of `hit`; True where one presupposes it."""
    presupposed = False
    for rival in rivals:
        weak = rival.meaning.role == "about" and hit.meaning.role != "about"
        overlaps = rival.start < hit.end and hit.start < rival.end
        if hit.meaning.role == "about" and rival.meaning.role != "about" and overlaps:
            return None
        if weak:
            continue
        if rival.meaning.id == hit.meaning.id:
            if overlaps and _weight(rival) > _weight(hit):
                return None
            continue
        if not rival.covers(hit):
            continue
        if hit.meaning.id not in lexicon.within.get(rival.meaning.id, ()):
            return None
        presupposed = presupposed or rival.meaning.id in lexicon.presupposed
    return presupposed


def is_of_a_foot(mention: Mention, sentence: Sentence, sides: Sequence[SideHit]) -> bool:
    """In "R ankle rolls, L steady" the lone word beside a side is no word about the person."""
    start, end = sentence.bounds(mention.start)
    beside = any(start <= s.start < end and s.side in OPPOSITE for s in sides)
    return not mention.sided and mention.end - mention.start == 1 and end - start == 2 and beside


def _weight(hit: Hit[Meaning]) -> tuple[int, int]:
    """How much of a text a phrase accounts for: its own words, then the tokens it spans."""
    return hit.words.bit_count(), hit.end - hit.start
