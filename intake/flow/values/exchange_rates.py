"""Exchange rates: entered by hand or taken from a central bank's file, and the table that totals are computed with."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from intake.edges import ecb_rates
from intake.edges.ecb_rates import RateFile
from intake.edges.store.library import Library
from intake.edges.store.queries.values import rates_between, rates_for_day, rates_of, rates_with
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError, about_field
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, made
from intake.model.currencies import currency_codes
from intake.model.valuations import Rate, rate_key
from intake.units.advice import advice
from intake.units.language import say, term
from intake.units.local_forms import day_text
from intake.valuing.rates import LONGEST_GAP, MissingRate, RateTable, find_gaps

HOW_LONG = f"A rate counts on its day, and for {LONGEST_GAP.days} days after it where no later one is recorded."


def how_old() -> str:
    """Write which rate counts for a day."""
    return say("A rate of that day counts, else the last of at most {days} days before.", days=LONGEST_GAP.days)


def rates_words(on: date, rates: Sequence[str], *more: str) -> str:
    """Write which rates were used for a day, and how they were chosen; empty where none was.

    Args:
        on: the day.
        rates: as `intake.valuing.totals.ValueTotal.rates` has them.
        more: sentences to follow.
    """
    if not rates:
        return ""
    used = say("Rates on {day}: {rates}.", day=day_text(on), rates="; ".join(rates))
    return " ".join((used, how_old(), *more))


@dataclass(frozen=True, slots=True)
class RatesTaken:
    """What an import of rates did; `gaps` are (currency, last day before, first day after)."""

    made: int
    altered: int
    unchanged: int
    gaps: tuple[tuple[str, date, date], ...]
    entry: LedgerEntry | None


def currency_code(text: str) -> str:
    """Return a currency's code in capitals.

    Raises:
        UsageError: ISO 4217 has no such code.
    """
    code = text.strip().upper()
    if code not in currency_codes():
        raise UsageError(
            f"Currency {text!r}", "is not a code of ISO 4217", "write its three letters, such as EUR", field="currency"
        )
    return code


def import_rates(
    library: Library,
    file: RateFile,
    *,
    name: str,
    currencies: Iterable[str] = (),
    since: date | None = None,
    station: str,
    today: date,
) -> RatesTaken:
    """Import the rates of a file; a rate that a bank has corrected replaces the earlier one.

    Args:
        library: where they are recorded.
        file: as read.
        name: the file's name, for the ledger.
        currencies: only these; none named takes all.
        since: only from this day on.
        station: who does it.
        today: no rate may be later.

    Raises:
        RefusedError: the file has no rate that was asked for, or it has rates of days in the future.
    """
    chosen = set(currencies)
    rates = [r for r in file.rates if (not chosen or r.currency in chosen) and (since is None or r.on >= since)]
    if not rates:
        raise RefusedError(
            f"The rates of {name}", "include none of the currencies and days asked for", "name other currencies or days"
        )
    days = [rate.on for rate in rates]
    if max(days) > today:
        why = f"include one of {max(days).isoformat()}, a day in the future"
        raise RefusedError(f"The rates of {name}", why, "correct the file or the clock of this machine")
    with library.reading() as records:
        recorded = rates_between(records, min(days), max(days))
    new = [rate for rate in rates if rate.key not in recorded]
    altered = [
        Change(recorded[rate.key], rate) for rate in rates if rate.key in recorded and recorded[rate.key] != rate
    ]
    entry = None
    if new or altered:
        entry = library.apply(Action(ActionKind.IMPORT_RATES, name, station), (*made(*new), *altered)).entry
    same = len(rates) - len(new) - len(altered)
    return RatesTaken(len(new), len(altered), same, tuple(find_gaps(rates)), entry)


def checked_rate(base: str, currency: str, per_base: Decimal, *, on: date, source: str = "", today: date) -> Rate:
    """Return a rate as it would be recorded: how much of `currency` one `base` is, on a day.

    Raises:
        UsageError: a currency that is none, one against itself, a rate that is not more than nothing, a day to come.
    """
    with about_field("base"):
        base = currency_code(base)
    currency = currency_code(currency)
    if base == currency:
        raise UsageError(
            f"A rate of {base} in {currency}", "is always 1", "name two different currencies", field="currency"
        )
    if not (per_base.is_finite() and per_base > 0):
        raise UsageError(
            f"Rate {per_base}", "is not greater than zero", f"give how much {currency} one {base} is", field="rate"
        )
    if on > today:
        raise UsageError(
            f"The day {on.isoformat()}",
            "is in the future",
            "give the day on which the rate was published",
            field="on",
        )
    key = rate_key(on, base, currency)
    return Rate(key=key, on=on, base=base, currency=currency, per_base=per_base, source=source)


def enter_rate(
    library: Library,
    base: str,
    currency: str,
    per_base: Decimal,
    *,
    on: date,
    source: str = "",
    station: str,
    today: date,
) -> Rate:
    """Record one rate; see `checked_rate`."""
    rate = checked_rate(base, currency, per_base, on=on, source=source, today=today)
    record_rate(library, rate, station=station)
    return rate


def record_rate(library: Library, rate: Rate, *, station: str) -> None:
    """Record a rate that was checked; nothing where it is recorded already."""
    with library.reading() as records:
        recorded = records.get(Rate, rate.key)
    if recorded != rate:
        library.apply(Action(ActionKind.ENTER_RATE, rate.key, station), (Change(recorded, rate),))


FARTHEST = Decimal("1.5")
"""How many times the rate before it a rate is, up or down, from which on the person is asked (no source)."""


def rate_before(records: LibraryReader, rate: Rate) -> Rate | None:
    """Return the last rate of the same two currencies before this one, where it is so different that one is a slip.

    A rate of the same day that this one replaces comes before it; where it is this one already, those of other days do.
    So does a rate in the other direction.
    """
    earlier = [
        one
        for one in rates_of(records, [rate.base, rate.currency])
        if {one.base, one.currency} == {rate.base, rate.currency}
        and one.on <= rate.on
        and (one.key, one.per_base) != (rate.key, rate.per_base)
    ]
    if not earlier:
        return None
    last = max(earlier, key=lambda one: one.on)
    before = last.per_base if last.base == rate.base else 1 / last.per_base
    return last if max(rate.per_base, before) / min(rate.per_base, before) >= FARTHEST else None


def rate_table(records: LibraryReader, currencies: Iterable[str], *, on: date | None = None) -> RateTable:
    """Return the table of the rates between these currencies; one that is good for a single day where that is named."""
    return RateTable(rates_of(records, currencies) if on is None else rates_for_day(records, currencies, on))


def read_rates(path: Path, *, base: str, source: str) -> RateFile:
    """Read a file of a central bank's rates in the European Central Bank's form.

    Raises:
        FileError: it cannot be read, or has another form.
        UsageError: the base is not a currency of ISO 4217.
    """
    return ecb_rates.read(path, base=currency_code(base), source=source)


def known_rates(reader: LibraryReader, currency: str) -> tuple[Rate, ...]:
    """Return the rates in which a currency stands on either side, oldest first.

    Raises:
        UsageError: it is not a currency of ISO 4217.
    """
    return rates_with(reader, currency_code(currency))


def rate_row(rate: Rate) -> tuple[str, str, str, str]:
    """Write a rate as a row of a table: its day, of what, what that is, and who published it."""
    return rate.on.isoformat(), f"{rate.base} 1", f"{rate.currency} {rate.per_base}", rate.source


def missing_words(missing: MissingRate) -> str:
    """Write which rate is missing, and for which day.

    >>> missing_words(MissingRate(base="EUR", currency="GBP", on=date(2026, 3, 31)))
    'EUR in GBP on 2026-03-31 (none is recorded)'
    """
    return say(
        "{base} in {currency} on {day} ({why})",
        base=missing.base,
        currency=missing.currency,
        day=day_text(missing.on),
        why=missing.why_briefly,
    )


def rates_to_enter(missing: Iterable[MissingRate]) -> tuple[tuple[str, str, str, date], ...]:
    """Return, for each missing rate, what it is in words, its two currencies and its day."""
    return tuple((missing_words(rate), rate.base, rate.currency, rate.on) for rate in missing)


def command_to_enter(missing: MissingRate) -> str:
    """Write the command that adds a missing rate.

    >>> command_to_enter(MissingRate(base="EUR", currency="GBP", on=date(2026, 3, 31)))
    'intake rates enter EUR GBP RATE --on 2026-03-31'
    """
    return f"intake rates enter {missing.base} {missing.currency} RATE --on {missing.on.isoformat()}"


ENTER_RATE = (
    term("Missing rate: {rate}. Add it with '{command}', or import a table of rates."),
    term("Missing rate: {rate}. Enter it, or import a table of rates."),
)


def notices_of(missing: Iterable[MissingRate]) -> tuple[str, ...]:
    """Write for each missing rate what the person can do about it."""
    return tuple(
        say(
            advice(*ENTER_RATE),
            rate=missing_words(rate),
            command=command_to_enter(rate),
        )
        for rate in missing
    )
