"""How a column that an import does not use can come in: as another list, or by a second import.

A list may have two amounts of a copy: what it is insured for, and what was paid.
"""

from collections.abc import Sequence
from dataclasses import replace

from intake.edges.exchange.heading_table import PURCHASE, PURCHASE_DAY
from intake.flow.lists.columns import ListColumn
from intake.flow.lists.heading_words import is_one_of, known_headings, matches_of
from intake.flow.lists.headings import ColumnGuess, Unused
from intake.model.valuations import Basis


def with_second_imports(guesses: Sequence[ColumnGuess]) -> tuple[ColumnGuess, ...]:
    """Return the guesses, a value on another basis than the one that is used with what a second import has to say.

    A day is that of the purchase or of the valuation, and dates no other.
    """
    return tuple(_with_second_import(guess, guesses) for guess in guesses)


def _with_second_import(guess: ColumnGuess, guesses: Sequence[ColumnGuess]) -> ColumnGuess:
    used = {other.field: other for other in guesses if other.field}
    value, is_purchase = used.get("value"), is_one_of(guess.heading, PURCHASE)
    if guess.wanted != "value" or value is None or "basis" in used or (value.basis is Basis.PURCHASE) is is_purchase:
        return guess
    days = [other for other in guesses if "valued_on" in (other.field, other.wanted)]
    fitting = next((day.heading.strip() for day in days if is_one_of(day.heading, PURCHASE_DAY) is is_purchase), "")
    again = (f"value={guess.heading.strip()}", f"valued_on={fitting}") if days else (f"value={guess.heading.strip()}",)
    return replace(guess, again=again)


def with_other_list(
    guesses: Sequence[ColumnGuess], name: str, columns: Sequence[ListColumn]
) -> tuple[ColumnGuess, ...]:
    """Return the guesses, the columns that are not understood and that another list has marked so.

    Args:
        guesses: of the columns of a file.
        name: of the other list.
        columns: its fields.
    """
    known = known_headings(tuple(columns))
    return tuple(
        replace(guess, unused=Unused.OTHER_LIST, other=name)
        if guess.unused is Unused.NOT_UNDERSTOOD and matches_of(guess.heading, known)
        else guess
        for guess in guesses
    )
