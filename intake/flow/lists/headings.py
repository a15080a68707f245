"""Which column of a person's list is which field: headings in many languages, guessed, never forced.

A heading is compared without its case, marks and signs; a unit or currency in it ("Höhe (cm)") is taken apart. The
program's own names come first, then English ones, then those of the language that knows most headings of the file. A
heading that means two fields is left to the person, and a column that is not used says why.
"""

import difflib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum, auto

from intake.edges.exchange.heading_table import PRICE, PURCHASE, PURCHASE_DAY
from intake.edges.exchange.table_cells import column_letters
from intake.errors import FileError, UsageError
from intake.flow.lists.columns import ListColumn
from intake.flow.lists.field_forms import UNITS, FieldForm, form_of
from intake.flow.lists.heading_words import (
    FOREIGN,
    HeadingMatch,
    fold_heading,
    is_one_of,
    is_title,
    known_headings,
    matches_of,
    split_unit,
)
from intake.flow.lists.size_orders import SizeOrder, split_order
from intake.model.valuations import Basis
from intake.units.advice import advice
from intake.units.written_currencies import currency_of

MOST_SHOWN = 200
"""Characters of the headings that a message shows."""


class Unused(StrEnum):
    """Why a column is not used."""

    NOT_UNDERSTOOD = auto()
    OTHER_LIST = auto()
    FIELD_TAKEN = auto()
    DAY_OF_PURCHASE = auto()
    AMBIGUOUS = auto()
    NO_HEADING = auto()


@dataclass(frozen=True, slots=True)
class ColumnGuess:
    """What a column of a file is taken for.

    Attributes:
        place: of the column, from 0.
        heading: as it stands.
        field: '' where the column is not used.
        unit: that the heading states; '' for none.
        currency: that the heading states, ISO 4217.
        order: of several sizes in a cell, that the heading states; None where it states none.
        basis: of the value that the heading states ("Price paid"); None where it states none.
        unused: why it is not used.
        other: the heading that is used instead, the fields that it may mean, or the list that has it.
        is_duplicate: whether another column has the same heading.
        wanted: the field that it would fill, where that is taken from another column.
        by_cells: whether its cells tell the field, for the heading means another as well.
        again: what to say with --map in a second import that keeps it too, where it is a value on another basis.
    """

    place: int
    heading: str
    field: str = ""
    unit: str = ""
    currency: str = ""
    order: SizeOrder | None = None
    basis: Basis | None = None
    unused: Unused | None = None
    other: str = ""
    is_duplicate: bool = False
    wanted: str = ""
    again: tuple[str, ...] = ()
    by_cells: bool = False

    @property
    def letters(self) -> str:
        """Return the letters of the column, as spreadsheets write them."""
        return column_letters(self.place)


def guess_columns(
    header: Sequence[str], columns: Sequence[ListColumn], *, file: str, mapping: Mapping[str, str]
) -> tuple[ColumnGuess, ...]:
    """Guess the field of each column.

    Args:
        header: the headings of the file, as they stand.
        columns: the fields to find.
        file: its name, for messages.
        mapping: field to heading (or "column B"), where a person says so; to '' where it is to have no column.

    Raises:
        UsageError: `mapping` names a field or a heading that does not exist, or one that two columns have.
        FileError: two columns have the same heading, and it is that of a field.
    """
    known = known_headings(tuple(columns))
    matches = [matches_of(heading, known) for heading in header]
    chosen = _mapped(header, columns, file, mapping)
    counts = Counter(code for found in matches for code in {c for match in found for c in match.languages})
    guesses = [_guess(place, heading, matches[place], counts) for place, heading in enumerate(header)]
    folded = Counter(fold_heading(heading) for heading in header)
    guesses = [replace(guess, is_duplicate=folded[fold_heading(guess.heading)] > 1) for guess in guesses]
    ranks = {place: min((match.rank for match in found), default=FOREIGN) for place, found in enumerate(matches)}
    dropped = {field for field, heading in mapping.items() if not heading}
    used = {**_best([guess for guess in guesses if guess.field not in dropped], ranks, chosen, file), **chosen}
    settled = tuple(settled for guess in guesses for settled in _settled(guess, used, guesses))
    return settled if "valued_on" in chosen else _without_days_of_purchase(settled)


def map_columns(
    header: Sequence[str], columns: Sequence[ListColumn], *, file: str, mapping: Mapping[str, str]
) -> dict[str, str]:
    """Find each field's heading.

    Raises:
        UsageError: as `guess_columns` does.
        FileError: a required column is missing.
    """
    guesses = guess_columns(header, columns, file=file, mapping=mapping)
    check_required(guesses, columns, file=file)
    return {guess.field: guess.heading for guess in guesses if guess.field}


def check_required(
    guesses: Sequence[ColumnGuess], columns: Sequence[ListColumn], *, file: str, form: str = "", letters: str = ""
) -> None:
    """See that every required field has a column.

    Args:
        guesses: of the columns of the file.
        columns: the fields of the list.
        file: its name.
        form: what the file was read as ("CSV in UTF-8"), for the message.
        letters: what to do besides, if the letters are wrong.

    Raises:
        FileError: one has none; the message shows the headings that were seen, and proposes the nearest.
    """
    found = {guess.field for guess in guesses}
    headings = {fold_heading(guess.heading): guess.heading for guess in guesses if guess.heading and not guess.field}
    for column in columns:
        if column.required and not found.intersection((column.field, *column.instead)):
            heading = _nearest(column, headings)
            hint = f'"{column.field}={heading}"' if " " in heading else f"{column.field}={heading}"
            seen = ", ".join(guess.heading.strip() for guess in guesses if guess.heading.strip())
            seen = seen if len(seen) <= MOST_SHOWN else f"{seen[:MOST_SHOWN]}…"
            read_as = f" (read as {form}, headings seen: {seen})" if form else ""
            raise FileError(
                file,
                f"has no column for {column.field!r}{read_as}",
                advice(f"add one or name it with --map {hint}{letters}", "add one, or name the column below"),
            )


def _nearest(column: ListColumn, headings: Mapping[str, str]) -> str:
    """Return the heading that a person may mean for a field; a title names an edition where there is no key."""
    if column.field == "key" and (titles := [headings[folded] for folded in headings if is_title(folded)]):
        return titles[0]
    near = difflib.get_close_matches(fold_heading(column.field), headings, n=1, cutoff=0.5)
    return headings[near[0]] if near else "HEADING"


def _guess(place: int, heading: str, matches: Sequence[HeadingMatch], counts: Mapping[str, int]) -> ColumnGuess:
    """Guess from one heading alone and the language of the others."""
    if not heading.strip():
        return ColumnGuess(place, heading, unused=Unused.NO_HEADING)
    if not matches:
        return ColumnGuess(place, heading, unused=Unused.NOT_UNDERSTOOD)
    english = [match for match in matches if match.rank < FOREIGN]
    best = [min(english, key=lambda match: match.rank)] if english else _in_best_language(matches, counts)
    fields = list(dict.fromkeys(match.field for match in best))
    if len(fields) > 1:
        return ColumnGuess(place, heading, unused=Unused.AMBIGUOUS, other=", ".join(fields))
    return _with_unit(ColumnGuess(place, heading, fields[0]))


def _in_best_language(matches: Sequence[HeadingMatch], counts: Mapping[str, int]) -> list[HeadingMatch]:
    most = max(counts[code] for match in matches for code in match.languages)
    return [match for match in matches if any(counts[code] == most for code in match.languages)]


def _with_unit(guess: ColumnGuess) -> ColumnGuess:
    """Add the unit or currency that a heading states."""
    form = form_of(guess.field)
    words, order = split_order(guess.heading) if form is FieldForm.SIZES else (guess.heading, None)
    _, unit = split_unit(words if words == guess.heading else f"size {words}")
    if unit.casefold() in UNITS.get(form, {}):
        return replace(guess, unit=unit.casefold(), order=order)
    if form is FieldForm.SIZES:
        return replace(guess, order=order)
    if form is FieldForm.AMOUNT:
        basis = Basis.PURCHASE if is_one_of(guess.heading, PURCHASE) else None
        return replace(guess, currency=currency_of(unit), basis=basis)
    return guess


def _mapped(
    header: Sequence[str], columns: Sequence[ListColumn], file: str, mapping: Mapping[str, str]
) -> dict[str, int]:
    """Return the place of the column that a person names for a field."""
    fields = {column.field for column in columns}
    chosen: dict[str, int] = {}
    for field, heading in mapping.items():
        if field not in fields:
            raise UsageError(f"Field {field!r}", "is not known", f"use one of {', '.join(sorted(fields))}")
        if not heading:
            continue
        named = [place for place, other in enumerate(header) if fold_heading(other) == fold_heading(heading)]
        named = named or [
            place
            for place in range(len(header))
            if fold_heading(f"column {column_letters(place)}") == fold_heading(heading)
        ]
        if not named:
            listed = ", ".join(other for other in header if other.strip())
            raise UsageError(f"Column {heading!r}", f"is not in {file}", f"use one of {listed}")
        if len(named) > 1:
            letters = " or ".join(f'"{field}=column {column_letters(place)}"' for place in named)
            raise UsageError(
                f"Column {heading!r}",
                f"is {len(named)} times in {file}",
                advice(f"say which: --map {letters}", "choose the column below"),
            )
        chosen[field] = named[0]
    return chosen


def _best(
    guesses: Sequence[ColumnGuess], ranks: Mapping[int, int], chosen: Mapping[str, int], file: str
) -> dict[str, int]:
    """Return for each field that nobody named the place of its best column."""
    best: dict[str, int] = {}
    headings: dict[str, str] = {}
    for guess in sorted(guesses, key=lambda guess: (ranks[guess.place], guess.place)):
        if not guess.field or guess.field in chosen or guess.place in chosen.values():
            continue
        if guess.field not in best:
            best[guess.field] = guess.place
            headings[guess.field] = guess.heading
        elif guess.is_duplicate and fold_heading(headings[guess.field]) == fold_heading(guess.heading):
            letters = f"{column_letters(best[guess.field])} and {column_letters(guess.place)}"
            why = f"has two columns named {guess.heading.strip()!r} ({letters})"
            named = f"{guess.field}=column {column_letters(guess.place)}"
            raise FileError(
                file,
                why,
                advice(
                    f'rename one of them, or say which with --map "{named}"',
                    "rename one of them, or choose the column below",
                ),
            )
    return best


def _settled(guess: ColumnGuess, used: Mapping[str, int], guesses: Sequence[ColumnGuess]) -> tuple[ColumnGuess, ...]:
    """Return what a column is taken for after all have been compared; a person may use it for several fields."""
    plain = replace(guess, field="", unit="", currency="", order=None, basis=None, unused=None, other="")
    if own := [field for field, place in used.items() if place == guess.place]:
        return tuple(_with_unit(replace(plain, field=field)) for field in own)
    if guess.field:
        taken = guesses[used[guess.field]].heading if guess.field in used else ""
        return (replace(plain, unused=Unused.FIELD_TAKEN, other=taken, wanted=guess.field),)
    return (guess,)


def _without_days_of_purchase(guesses: tuple[ColumnGuess, ...]) -> tuple[ColumnGuess, ...]:
    """Return the guesses; the day of a purchase dates a price, and no valuation unless a column says of what kind."""
    fields = {guess.field: guess for guess in guesses}
    value = fields.get("value")
    if value is None or "basis" in fields or any(is_one_of(value.heading, kind) for kind in (PURCHASE, PRICE)):
        return guesses
    return tuple(
        replace(guess, field="", unused=Unused.DAY_OF_PURCHASE, wanted="valued_on")
        if guess.field == "valued_on" and is_one_of(guess.heading, PURCHASE_DAY)
        else guess
        for guess in guesses
    )
