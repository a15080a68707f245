"""Which editions the words mean that a person typed: words of title, contributors or set, a volume, a key."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Select, Text, and_, case, cast, func, literal, or_, select, true, union_all

from intake.edges.store.engines.word_index import WordIndex, word_index
from intake.edges.store.fetching import COLUMNS
from intake.edges.store.reader import LibraryReader
from intake.edges.store.rows import from_values
from intake.edges.store.tables import TABLES
from intake.model.editions import BookSet, Edition, title_key
from intake.model.folding import as_typed, word_forms
from intake.model.slips import could_be, is_slip
from intake.model.volumes import Number, is_year, split_volume

_EDITION, _SET = TABLES[Edition].c, TABLES[BookSet].c

WORD_POOL = 500
"""Editions looked at when words are searched; among more, the words do not show which edition a person means anyway."""

Words = tuple[tuple[str, ...], ...]
"""Words, each in its forms."""


@dataclass(frozen=True, slots=True)
class TypedWords:
    """What a person typed, for the search.

    Attributes:
        text: as typed.
        names: the words of a title, a contributor or a set, each in its forms.
        volumes: the number named at the end, or each of the range named there.
        ending: the same as a word in its forms.
    """

    text: str
    names: Words
    volumes: tuple[Number, ...] = ()
    ending: tuple[str, ...] = ()

    @property
    def all(self) -> Words:
        """The words with the volume as a last one, which may be a word of the title just as well."""
        return (*self.names, self.ending) if self.ending else self.names


def typed_words(text: str) -> TypedWords:
    """Take apart what a person typed.

    >>> typed_words("ferns IV").all
    (('ferns',), ('iv', '4'))
    """
    sayable = text.encode(errors="ignore").decode().replace("\0", " ")
    name, volumes = split_volume(sayable)
    if not volumes:
        return TypedWords(sayable, word_forms(sayable))
    written = " ".join(forms[0] for forms in word_forms(sayable.split()[-1]))
    forms = tuple(dict.fromkeys((written, *(" ".join(map(str, volume)) for volume in volumes))))
    return TypedWords(sayable, word_forms(name), volumes, forms)


def find_editions(reader: LibraryReader, text: str, limit: int = 20) -> tuple[Edition, ...]:
    """Return the edition with this key, and those that have all these words, the closest titles first.

    The words may be those of title and contributors, or of the title of the set; a number at the end may be that of a
    volume ("ferns 2"), a range of volumes ("ferns 1-6"), or the year of the edition ("ferns 1980"). The last word may
    be the beginning of one. Case, accents and the script do not matter.
    """
    typed = typed_words(text)
    pools = [_with_key(typed.text)]
    words = tuple(map(as_typed, typed.all))
    index = word_index(reader.connection)
    in_words = index.editions_with_words(words, max(WORD_POOL, limit), beginning=not typed.volumes)
    if in_words is not None:
        pools += [in_words, _of_sets(typed), *_of_year(index, typed)]
    return _fetched(reader, pools, typed, limit)


def find_editions_sharing(reader: LibraryReader, words: Iterable[str], each: int) -> tuple[Edition, ...]:
    """Return editions that have any of these words, so many for each word."""
    index = word_index(reader.connection)
    pools = [index.editions_with_words(word_forms(word), each, beginning=False) for word in words]
    chosen = [pool for pool in pools if pool is not None]
    return _fetched(reader, chosen, typed_words(""), WORD_POOL) if chosen else ()


def words_like(reader: LibraryReader, words: Words) -> dict[str, tuple[str, ...]]:
    """Return for each of these words those of the library that are one slip in typing away; one statement.

    Words come in their forms; numbers, and words of fewer than four letters, are like no other.
    """
    forms = [form for of_word in words for form in of_word if could_be(form)]
    if not forms:
        return {}
    ends = [(form[: (len(form) - 1) // 2], form[-((len(form) - 1) // 2) :], len(form)) for form in forms]
    found = tuple(reader.connection.scalars(word_index(reader.connection).words_between(ends)))
    near = {
        of_word[0]: tuple(term for term in found if any(is_slip(form, term) for form in of_word if could_be(form)))
        for of_word in words
    }
    return {word: terms for word, terms in near.items() if terms}


def find_editions_like(
    reader: LibraryReader, text: str, limit: int = 20
) -> tuple[tuple[Edition, ...], dict[str, tuple[str, ...]]]:
    """Return editions that have these words but for a slip in typing or the script; two statements.

    Returns:
        The editions, and for each word that was read as others, those others.
    """
    typed = typed_words(text)
    near = words_like(reader, typed.names)
    near |= {forms[0]: (*near.get(forms[0], ()), *forms[1:]) for forms in typed.names if as_typed(forms) != forms}
    if not near:
        return (), {}
    widened = tuple((*forms, *near.get(forms[0], ())) for forms in typed.names)
    words = (*widened, typed.ending) if typed.ending else widened
    pool = word_index(reader.connection).editions_with_words(words, max(WORD_POOL, limit), beginning=False)
    return (() if pool is None else _fetched(reader, [pool], typed, limit)), near


def _with_key(text: str) -> Select[tuple[int]]:
    key = text.strip()
    return select(_EDITION.id).where(_EDITION.key.in_({key, key.upper(), key.lower()} - {""}))


def _of_sets(typed: TypedWords) -> Select[tuple[int]]:
    """Select the editions of sets with these words in their titles, only the volume named where one is."""
    sets = select(_SET.id).where(*(_has_beginning(_SET.words, as_typed(forms)) for forms in typed.names))
    return select(_EDITION.id).where(_EDITION.set_id.in_(sets), _names_volume(typed)).limit(WORD_POOL)


def _names_volume(typed: TypedWords) -> ColumnElement[bool]:
    """Return the condition that an edition has the volume typed among its words, true where none was."""
    words = _between_spaces(_EDITION.words)
    named = [and_(*(words.contains(f" {figure} ") for figure in volume)) for volume in typed.volumes]
    return or_(*named) if named else true()


def _of_year(index: WordIndex, typed: TypedWords) -> Iterator[Select[tuple[int]]]:
    """Yield the editions with these words of the year typed, where one was."""
    pool = index.editions_with_words(tuple(map(as_typed, typed.names)), WORD_POOL, beginning=False)
    if pool is not None and len(typed.volumes) == 1 and len(year := typed.volumes[0]) == 1 and is_year(year):
        yield select(_EDITION.id).where(_EDITION.id.in_(pool), _EDITION.year == year[0])


def _between_spaces(words: ColumnElement[str]) -> ColumnElement[str]:
    return literal(" ", Text) + cast(words, Text) + " "


def _has_beginning(words: ColumnElement[str], forms: Sequence[str]) -> ColumnElement[bool]:
    """Return the condition that a word in any of its forms begins one of these words."""
    spaced = _between_spaces(words)
    return or_(*(and_(*(spaced.contains(f" {part}", autoescape=True) for part in form.split())) for form in forms))


def _fetched(
    reader: LibraryReader, pools: Sequence[Select[tuple[int]]], typed: TypedWords, limit: int
) -> tuple[Edition, ...]:
    """Fetch the editions of several pools in one statement, what was meant most likely first."""
    ids = union_all(*(select(pool.subquery()) for pool in pools))
    other_key = case((func.lower(_EDITION.key) == typed.text.strip().lower(), 0), else_=1)
    other_volume = case((_names_volume(typed), 0), else_=1)
    other_title = case((_EDITION.title_key == title_key(typed.text), 0), else_=1)
    statement = select(*COLUMNS[Edition]).where(_EDITION.id.in_(ids))
    statement = statement.order_by(other_key, other_volume, other_title, func.length(_EDITION.title_key), _EDITION.id)
    return tuple(from_values(Edition, tuple(row)) for row in reader.connection.execute(statement.limit(limit)))
