"""Editions whose title and contributors are like the words that a person typed, for books without a number.

Words are compared folded (no case, no accents, and in Latin letters too: `intake.model.folding`), each typed word with
the word most like it: "graser" and "Gräser" are the same, "gardn" is near "garden" (difflib's ratio, after Ratcliff and
Obershelp). Where words are not separated, as in Japanese, the whole title is one word and the ratio does the work.

A typed title never makes anything certain.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from intake.matching.copy_candidates import candidates_of
from intake.model.editions import Copy, Edition, title_key, title_part, whole_title_key
from intake.model.folding import word_forms
from intake.model.matches import MatchCandidate
from intake.model.reasons import Reason, ReasonKind, Reasons

LIKE = 0.75
"""Least ratio of two words that may be one word mistyped; "garden" and "gardn" have 0.91, "book" and "cook" 0.75."""

LEAST = 0.5
"""Least likeness of an edition that is worth showing."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """How like typed words an edition is: 0 to 1, with the reasons."""

    score: float
    reasons: Reasons


def rank_titles(
    text: str, editions: Sequence[Edition], *, copies: Sequence[Copy] = (), box: str | None = None
) -> tuple[MatchCandidate, ...]:
    """Rank editions by how like their titles are to typed words, those below one half left out.

    Args:
        text: title words, contributors' names among them or not, in any order.
        editions: to choose from.
        copies: recorded copies of them; without any, each edition is one candidate with no copy.
        box: number of the open box, None where there is none.
    """
    found: list[MatchCandidate] = []
    for edition in editions:
        alike = likeness(text, edition)
        if alike.score >= LEAST:
            found += (_with_likeness(candidate, alike) for candidate in candidates_of(edition, copies, box))
    return tuple(sorted(found, key=lambda one: (-one.strength, title_key(one.edition.title), one.edition.id)))


def rank_named(editions: Sequence[Edition], *, copies: Sequence[Copy], box: str | None) -> tuple[MatchCandidate, ...]:
    """Rank editions that a text names by key or by volume, which leave no other in question, by their copies alone."""
    found = [candidate for edition in editions for candidate in candidates_of(edition, copies, box)]
    named = (Reason(ReasonKind.NAMED),)
    found.sort(key=lambda one: -one.strength)
    return tuple(replace(candidate, reasons=(*named, *candidate.reasons)) for candidate in found)


def likeness(text: str, edition: Edition) -> Likeness:
    """Tell how like typed words an edition's title and contributors are.

    Two parts in three say how much of what was typed is found, one part how much of the title was typed.

    >>> likeness("kust graser", Edition(id=1, title="Die Gräser der Küste")).reasons[1].texts
    ('kust', 'kuste')
    """
    typed_forms, title_forms = word_forms(text), word_forms(title_part(edition.title))
    if not typed_forms or not title_forms:
        return Likeness(0.0, ())
    if whole_title_key(text) in (title_key(edition.title), whole_title_key(edition.title)):
        return Likeness(1.0, (Reason(ReasonKind.SAME_TITLE),))
    others = {form for words in (edition.title, *edition.contributors) for forms in word_forms(words) for form in forms}
    nearest = [_nearest(forms, sorted(others)) for forms in typed_forms]
    typed, title = ([forms[0] for forms in words] for words in (typed_forms, title_forms))
    found = _share(typed, [ratio for _, ratio in nearest])
    every = [form for forms in typed_forms for form in forms]
    covered = _share(title, [_nearest(forms, every)[1] for forms in title_forms])
    near = [
        Reason(ReasonKind.WORD_ALIKE, texts=(word, other))
        for word, (other, ratio) in zip(typed, nearest, strict=True)
        if 0 < ratio < 1
    ]
    count = Reason(ReasonKind.WORDS_FOUND, count=sum(ratio > 0 for _, ratio in nearest), of=len(typed))
    return Likeness((2 * found + covered) / 3, (count, *near))


def _nearest(forms: Sequence[str], others: Sequence[str]) -> tuple[str, float]:
    """Return the word most like any form of this one and the ratio, 0 where none is like it."""
    same = next((form for form in forms if form in others), None)
    if same is not None:
        return same, 1.0
    return max((_nearest_form(form, others) for form in forms), key=lambda found: found[1])


def _nearest_form(word: str, others: Sequence[str]) -> tuple[str, float]:
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(word)
    best, best_ratio = "", 0.0
    for other in others:
        matcher.set_seq1(other)
        if matcher.real_quick_ratio() >= LIKE and matcher.quick_ratio() >= LIKE:
            ratio = matcher.ratio()
            if ratio >= max(LIKE, best_ratio):
                best, best_ratio = other, ratio
    return best, best_ratio


def _share(words: Iterable[str], ratios: Iterable[float]) -> float:
    """Return the share that is found, a long word counting more than a short one."""
    pairs = [(len(word), ratio) for word, ratio in zip(words, ratios, strict=True)]
    return sum(length * ratio for length, ratio in pairs) / sum(length for length, _ in pairs)


def _with_likeness(candidate: MatchCandidate, alike: Likeness) -> MatchCandidate:
    """Let the likeness of the title count most, and between equals what the records say of the copies."""
    strength = alike.score * (0.9 + 0.1 * candidate.strength)
    return replace(candidate, strength=strength, reasons=(*alike.reasons, *candidate.reasons))
