"""What to look for: the editions of the catalog, of which no copy is held, that close a serial's gaps."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from intake.edges.store.reader import LibraryReader
from intake.errors import UsageError
from intake.flow.lookup.statement_words import fault_words
from intake.flow.runs.named_serial import named_map
from intake.flow.runs.run_view import gap_places, half_words, outside_words, places_text
from intake.flow.runs.serial_map import Holding, SerialEdition, SerialMap, edition_name
from intake.flow.values.exchange_rates import currency_code, notices_of, rate_table
from intake.model.currencies import rounded, smallest
from intake.runs.cover_solver import SECONDS
from intake.runs.notation import read_parts, write_parts
from intake.runs.parts import expanded
from intake.runs.seek import SeekChoice, SeekOffer, alternatives, seek, seek_within
from intake.runs.spans import Spans, difference, intersection, spans_of
from intake.runs.statements import StatementFault
from intake.valuing.rates import MissingRate, NoRate, RateTable, convert_amount

PARTS_REMEDY = (
    "correct them, or the extent of the serial; a word such as 'special' goes on over commas, so write what has none "
    "before it"
)
NOT_HEEDED = (
    "Within a budget the most parts for the least money are chosen; fewest editions, or a binding, decide nothing."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SeekRequest:
    """What a person asks for.

    Attributes:
        parts: the parts to look for; empty for every gap.
        budget, currency: the most to spend; without a budget the currency may be empty.
        fewest: fewest editions first, then least cost.
        prefer: words of a binding that is preferred where nothing else decides.
        on: the day of the rates.
    """

    parts: str = ""
    budget: Decimal | None = None
    currency: str = ""
    fewest: bool = False
    prefer: str = ""
    on: date
    seconds: float = SECONDS


@dataclass(frozen=True, slots=True)
class SoughtEdition:
    """An edition to look for; `price` is in the currency of the answer, `stated` as the catalog has it."""

    key: str
    name: str
    collects: str
    closes: str
    price: Decimal | None
    stated: str


@dataclass(frozen=True, slots=True)
class SoughtChoice:
    """Editions that together close gaps.

    Attributes:
        proved: that no other choice is better in what was asked for, but for those named before it.
    """

    editions: tuple[SoughtEdition, ...]
    cost: Decimal
    left: tuple[str, ...]
    proved: bool


@dataclass(frozen=True, slots=True)
class SeekAnswer:
    """What to look for.

    Attributes:
        sought: the parts looked for.
        best: the choice.
        bound: what no choice can beat, in words.
        others: the next best choices, best first.
        unpriced: editions without a price that would close some of it.
        remarks: what was converted, left out or may be meant otherwise; one sentence each.
    """

    serial: str
    sought: str
    best: SoughtChoice
    currency: str
    bound: str
    others: tuple[SoughtChoice, ...]
    unpriced: tuple[SoughtEdition, ...]
    remarks: tuple[str, ...]

    @property
    def proved(self) -> bool:
        """Tell whether no choice is better in what was asked for."""
        return self.best.proved


@dataclass(frozen=True, slots=True)
class _Priced:
    one: SerialEdition
    price: Decimal
    stated: str


def seek_editions(reader: LibraryReader, serial: str, request: SeekRequest) -> SeekAnswer:
    """Return the cheapest choice of editions, or the one of fewest, or the most parts within a budget.

    Raises:
        RefusedError: no serial is named so, or several are.
        UsageError: see `seek_in`.
    """
    found, remarks = named_map(reader, serial)
    return seek_in(reader, found, request, remarks)


def seek_in(reader: LibraryReader, found: SerialMap, request: SeekRequest, remarks: tuple[str, ...] = ()) -> SeekAnswer:
    """Return the same of a serial's map; `remarks` are of what the map leaves out.

    Raises:
        UsageError: the parts are not understood, or the serial does not have them; or the currency is none.
    """
    gaps, held = _gaps(found, request.parts)
    useful = [one for one in found.editions if one.holding is Holding.WANTED and intersection(one.places, gaps)]
    priced = [one for one in useful if one.edition.price is not None]
    currency = _currency(priced, request.currency)
    offers, missing, notes = _converted(reader, priced, currency, request.on)
    choice, others = _choose(gaps, offers, currency, request)
    unused = (NOT_HEEDED,) if request.budget is not None and (request.fewest or request.prefer) else ()
    by_key = {str(offer.one.edition.id): offer for offer in offers}
    unpriced = [one for one in useful if str(one.edition.id) not in by_key]
    return SeekAnswer(
        serial=found.title,
        sought=places_text(found, gaps),
        best=_written(found, choice, by_key, gaps, currency),
        currency=currency,
        bound=_bound_words(choice, currency, request),
        others=tuple(_written(found, other, by_key, gaps, currency) for other in others),
        unpriced=tuple(_edition(found, one, gaps, None, _stated(one)) for one in unpriced),
        remarks=(
            *held,
            *_other_languages(found, useful),
            *notes,
            *notices_of(missing),
            *unused,
            *outside_words(found),
            *half_words(found),
            *remarks,
        ),
    )


def _gaps(found: SerialMap, text: str) -> tuple[Spans, tuple[str, ...]]:
    """Return the places to look for, those named that are not held or all that are missing; what is held is said."""
    gaps = gap_places(found)
    if not text.strip():
        return gaps, ()
    read = read_parts(text)
    if isinstance(read, StatementFault):
        raise UsageError(f"The parts {text!r}", "are not understood", fault_words(read))
    wanted = expanded(read, found.known)
    if outside := wanted - found.known:
        why = f"are not all known: {write_parts(outside)} is beyond {write_parts(found.known)}"
        raise UsageError(f"The parts {text!r} of {found.title}", why, PARTS_REMEDY)
    named = found.order.places(wanted)
    held = difference(named, gaps)
    sought = intersection(gaps, named)
    return sought, (f"Not looked for, as it is held: {places_text(found, held)}.",) if held and sought else ()


def _other_languages(found: SerialMap, useful: Sequence[SerialEdition]) -> Iterator[str]:
    """Yield a sentence for each edition in another language than most of those that collect the serial."""
    spoken = [one.edition.language for one in found.editions if one.edition.language]
    usual = max(sorted(set(spoken)), key=spoken.count, default="")
    for one in useful:
        if one.edition.language not in ("", usual):
            yield (
                f"{edition_name(one.edition)} is in another language ({one.edition.language}) than most that collect "
                f"{found.title} ({usual}): what it has counts all the same."
            )


def _currency(priced: Sequence[SerialEdition], named: str) -> str:
    """Return the currency of the answer: the one named, else the one that most prices are in."""
    if named:
        return currency_code(named)
    codes = [one.edition.currency for one in priced]
    return max(sorted(set(codes)), key=codes.count, default="")


def _converted(
    reader: LibraryReader, priced: Sequence[SerialEdition], currency: str, on: date
) -> tuple[list[_Priced], tuple[MissingRate, ...], tuple[str, ...]]:
    foreign = sorted({one.edition.currency for one in priced} - {currency})
    rates = rate_table(reader, [*foreign, currency], on=on) if foreign else RateTable(())
    offers: list[_Priced] = []
    missing: dict[MissingRate, None] = {}
    notes: dict[str, None] = {}
    for one in priced:
        price, of = one.edition.price or Decimal(0), one.edition.currency
        if of != currency:
            conversion = rates.conversion(of, currency, on)
            if isinstance(conversion, NoRate):
                missing |= dict.fromkeys(conversion.missing)
                continue
            price = convert_amount(price, conversion)
            notes[f"Prices in {of} are converted: {'; '.join(conversion.rates)}."] = None
        offers.append(_Priced(one, rounded(price, currency), _stated(one)))
    return offers, tuple(missing), tuple(notes)


def _choose(
    gaps: Spans, priced: Sequence[_Priced], currency: str, request: SeekRequest
) -> tuple[SeekChoice, tuple[SeekChoice, ...]]:
    unit = smallest(currency) if currency else Decimal(1)
    wish = request.prefer.casefold()
    offers = [
        SeekOffer(
            str(offer.one.edition.id),
            offer.one.places,
            int(offer.price / unit),
            disliked=int(bool(wish) and wish not in offer.one.edition.binding.casefold()),
        )
        for offer in priced
    ]
    places = spans_of(gaps)
    if request.budget is not None:
        return seek_within(places, offers, int(request.budget / unit), seconds=request.seconds), ()
    best = seek(places, offers, fewest=request.fewest, seconds=request.seconds)
    return best, alternatives(places, offers, best, fewest=request.fewest, seconds=request.seconds)


def _bound_words(choice: SeekChoice, currency: str, request: SeekRequest) -> str:
    if request.budget is not None:
        return f"no choice closes more than {choice.bound} parts within the budget"
    if request.fewest:
        return f"no choice has fewer than {choice.bound} editions"
    return f"no choice costs less than {_amount(choice.bound, currency)} {currency}".strip()


def _amount(units: int, currency: str) -> Decimal:
    """Return an amount that is given in the currency's smallest unit; nothing costs anything where there is none."""
    return units * smallest(currency) if currency else Decimal(0)


def _written(
    found: SerialMap, choice: SeekChoice, by_key: dict[str, _Priced], gaps: Spans, currency: str
) -> SoughtChoice:
    left = intersection(gaps, choice.left)
    editions = (_edition(found, by_key[key].one, gaps, by_key[key].price, by_key[key].stated) for key in choice.keys)
    return SoughtChoice(
        editions=tuple(editions),
        cost=_amount(choice.cost, currency),
        left=tuple(places_text(found, (gap,)) for gap in left),
        proved=choice.proved,
    )


def _edition(found: SerialMap, one: SerialEdition, gaps: Spans, price: Decimal | None, stated: str) -> SoughtEdition:
    closes = places_text(found, intersection(one.places, gaps))
    return SoughtEdition(edition_name(one.edition), one.name, write_parts(one.stated), closes, price, stated)


def _stated(one: SerialEdition) -> str:
    return "" if one.edition.price is None else f"{one.edition.price} {one.edition.currency}"
