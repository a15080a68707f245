"""What the tables keep beside the fields of a record, worked out from them: the key of a title, the words to search."""

import re
from collections.abc import Iterable

from intake.model.changes import Record
from intake.model.editions import BookSet, Edition, title_key
from intake.model.folding import search_words
from intake.model.volumes import volume_numbers

_FIGURES = re.compile(r"\d")
MOST_NUMBERS = 100
"""Most volumes of one book that are searched by their numbers."""


def derived(record: Record) -> dict[str, object]:
    """Return the columns that are worked out from a record, by name."""
    if isinstance(record, Edition):
        more = serials_in(record.collects), record.why
        words = edition_words(record.title, record.contributors, record.volume, *more)
        return {"title_key": title_key(record.title), "words": words}
    return {"words": search_words([record.title])} if isinstance(record, BookSet) else {}


def serials_in(collects: str) -> str:
    """Return what is named of serials in a statement of collected parts: every word without a figure.

    >>> serials_in("Tidewrack Quarterly 57-83, 90; Salt v.2:no.1-6")
    'Tidewrack Quarterly Salt'
    """
    return " ".join(word for word in collects.replace(";", " ").split() if not _FIGURES.search(word))


def edition_words(title: str, contributors: Iterable[str], volume: str, *more: str) -> str:
    """Return the words under which an edition is found: of title, contributors, volume and more texts, folded.

    >>> edition_words("Łódź", ["Ima Ginary"], "Vols. 1-3")
    'lodz ima ginary vols 1 3 2'
    """
    numbers = volume_numbers(volume)[:MOST_NUMBERS] if volume else ()
    figures = (str(figure) for number in numbers for figure in number)
    return search_words([title, *contributors, volume, " ".join(figures), *filter(None, more)])
