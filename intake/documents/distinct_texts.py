"""Fitting texts that tell labels apart: what is lost is lost at the beginning, and no two come out the same.

"Sitting room · Roof room · 2" and "Sitting room · Roof room · 3" differ in their last word, so that a text too long for
its field becomes "… Roof room · 2". Where different texts would then read the same, each shows the words, or the
letters, in which it differs.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from intake.documents.text_fit import ELLIPSIS, Fitted, Setter
from intake.errors import UsageError
from intake.model.papers import LabelField

SEPARATORS = "·–,;: "
"""What does not begin a text that was shortened from the front."""


def fit_distinct(texts: Collection[str], field: LabelField, setter: Setter) -> dict[str, Fitted]:
    """Fit texts into one field of different labels.

    Args:
        texts: those of all labels of a run.
        field: its size and type.
        setter: measures them.

    Returns:
        Text -> its lines, of which no two are the same.

    Raises:
        UsageError: two texts cannot be told apart in a field so small.
    """
    fitted = {text: fit_end(text, field, setter) for text in texts}
    for alike in _alike(fitted):
        for text in alike:
            fitted[text] = _showing_difference(text, [other for other in alike if other != text], field, setter)
    for first, second, *_ in _alike(fitted):
        raise UsageError(
            f"The labels '{first}' and '{second}'",
            "would read the same, because the field is too small for the words in which they differ",
            "use a template with a larger field, or shorter names",
        )
    return fitted


def fit_end(text: str, field: LabelField, setter: Setter) -> Fitted:
    """Fit a text, and where it does not fit whole, as many of its last words as do, or letters of the last one."""
    whole = _fit(text, field, setter)
    if not whole.cut:
        return whole
    words = text.split()
    ends = [" ".join(words[first:]).lstrip(SEPARATORS) for first in range(1, len(words))]
    ends += [words[-1][first:] for first in range(1, len(words[-1]))]
    return _first_whole((f"{ELLIPSIS} {end}" for end in ends if end), whole, field, setter)


def _alike(fitted: dict[str, Fitted]) -> list[list[str]]:
    """Return the texts that came out the same, group by group."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for text, lines in fitted.items():
        groups.setdefault(tuple(lines.lines), []).append(text)
    return [group for group in groups.values() if len(group) > 1]


def _showing_difference(text: str, others: Collection[str], field: LabelField, setter: Setter) -> Fitted:
    """Fit the words from the first in which a text differs, with its last word; else the letters from there."""
    words = text.split()
    common = min(_common(words, other.split()) for other in others)
    letter = min(_common(text, other) for other in others)
    start = f"{ELLIPSIS} " if common else ""
    shown = [
        f"{start}{' '.join(words[common:last]).rstrip(SEPARATORS)} {ELLIPSIS} {words[-1]}"
        for last in range(len(words) - 1, common, -1)
    ]
    shown += [f"{ELLIPSIS}{text[letter:last]}{ELLIPSIS}" for last in range(len(text), letter, -1)]
    return _first_whole(iter(shown), _fit(text, field, setter), field, setter)


def _common(first: Sequence[str], second: Sequence[str]) -> int:
    """Return with how many words, or letters, both begin."""
    pairs = enumerate(zip(first, second, strict=False))
    return next((place for place, (a, b) in pairs if a != b), min(len(first), len(second)))


def _first_whole(candidates: Iterator[str], otherwise: Fitted, field: LabelField, setter: Setter) -> Fitted:
    """Return the first candidate that fits whole at the smallest size, marked as cut."""
    smallest = replace(field, size_pt=(field.size_pt[0], field.size_pt[0]))
    fits = (fitted for words in candidates if not (fitted := _fit(words, smallest, setter)).cut)
    found = next(fits, otherwise)
    return replace(found, cut=True)


def _fit(text: str, field: LabelField, setter: Setter) -> Fitted:
    return setter.fit(text, field.width_mm, field.height_mm, field.size_pt, bold=field.bold)
