"""What the papers of a consignment say: its boxes, the copies that each lists, their values, what was on no list."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from intake.documents.schedules import sum_text
from intake.edges.store.queries.boxes import list_boxes, seen_elsewhere
from intake.errors import RefusedError
from intake.flow.moving.consignments import find_consignment
from intake.flow.papers.consignment_numbers import transport_numbers
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperSource
from intake.flow.papers.schedule_lines import Gathered, ScheduledCopy, counted_in, scheduled
from intake.flow.papers.schedule_words import counted_set_sentences
from intake.flow.papers.valued_copies import proof_of, rates_day, valued_copies
from intake.flow.values.exchange_rates import currency_code, notices_of, rates_words
from intake.identifiers.own import serial_of
from intake.model.boxes import Box, Consignment
from intake.model.condition import ConditionReport
from intake.model.currencies import amount_text
from intake.model.editions import Printing
from intake.model.schedules import ScheduleLine
from intake.units.counts import some_of
from intake.units.language import say
from intake.units.local_forms import day_text
from intake.valuing.totals import ROUNDING
from intake.weighing.plausible import TooLight, stated_g, too_light

NAMED = 24
"""As many copies or boxes are named in one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsignmentContent:
    """What papers of a consignment say.

    Attributes:
        on: the day of the paper.
        rates_on: the day of the rates.
        currency: of the paper; what has no rate stays in its own.
        boxes: each with the copies that it lists, by number.
        surplus: the copies that came out of these boxes and are on no packing list.
        printings: by id, those of the library.
        reports: the condition reports of each copy; none where the paper does not ask for them.
    """

    on: date
    rates_on: date
    currency: str
    consignment: Consignment
    boxes: tuple[tuple[Box, tuple[ScheduledCopy, ...]], ...]
    gathered: Gathered
    surplus: frozenset[str]
    printings: Mapping[int, Printing]
    reports: Mapping[str, tuple[ConditionReport, ...]]
    proof: str

    @property
    def listed(self) -> tuple[ScheduledCopy, ...]:
        """Return the copies of all boxes."""
        return tuple(one for _, copies in self.boxes for one in copies)

    @property
    def found(self) -> tuple[ScheduledCopy, ...]:
        """Return the copies that are neither known to be lost nor in a box that has not arrived."""
        return tuple(one for one in self.listed if not one.valued.lost and not one.valued.awaited)

    @property
    def awaited(self) -> tuple[ScheduledCopy, ...]:
        """Return the copies whose box has not arrived although another one has."""
        return tuple(one for one in self.listed if one.valued.awaited)

    @property
    def lost(self) -> tuple[ScheduledCopy, ...]:
        """Return the copies that were not found since the move."""
        return tuple(one for one in self.listed if one.valued.lost)

    @property
    def rates_missing(self) -> tuple[str, ...]:
        """Return what stands in its own currency, and the rates that are missing with the commands that add them."""
        added = self.gathered.added
        names = [*added.unconverted, *(one.line.number for one in self.gathered.sets if one.worth.missing)]
        kept = say(
            "Not converted into {currency}, and stated in the currency of its value: {copies}.",
            currency=self.currency,
            copies=names_of(names),
        )
        return (*((kept,) if names else ()), *notices_of(added.missing))

    @property
    def value_notes(self) -> tuple[str, ...]:
        """Return how values were obtained: how sets count, and which rates were used."""
        added = self.gathered.added
        rates = rates_words(self.rates_on, added.rates, say(ROUNDING))
        return tuple(filter(None, (*counted_set_sentences(added), rates)))

    def printed(self, one: ScheduledCopy) -> tuple[int | None, bool]:
        """Return the year of printing as far as known, and whether it is that of the copy's own printing."""
        printing = self.printings.get(one.valued.copy.printing_id or 0)
        if printing is not None and printing.year is not None:
            return printing.year, True
        return one.valued.edition.year, False

    def worth(self, copies: Iterable[ScheduledCopy], *, lost: bool = False) -> str:
        """Write what copies are worth together, each currency and basis by itself, and how many have no value.

        A set that counts once is in it if all copies that it stands for are among these.

        Args:
            copies: which.
            lost: whether these are the lost ones, for what lost volumes took from the value of a set.
        """
        lines = [one.line for one in copies]
        numbers = {line.number for line in lines}
        sets = [
            one.line
            for one in self.gathered.sets
            if one.worth.part.lost is lost and numbers.issuperset(one.worth.part.copies)
        ]
        across = sorted({line.in_set for line in lines if line.in_set} - {line.number for line in sets})
        whole = sum_text([*lines, *sets], self.currency)
        if not across:
            return whole
        return say("{sum}; {sets} counts in the closing total", sum=whole, sets=", ".join(across))


def gather_consignment(
    source: PaperSource,
    options: PaperOptions,
    purpose: str,
    reports: Mapping[str, tuple[ConditionReport, ...]],
) -> ConsignmentContent:
    """Gather what papers of a consignment say.

    Args:
        source: of the paper.
        options: as chosen.
        purpose: what kind of list it is, for the proof.
        reports: the condition reports of each copy, as far as the paper asks for them.

    Raises:
        RefusedError: there is no such consignment, or its boxes are empty.
        UsageError: ISO 4217 has no such currency.
    """
    reader = source.reader
    consignment = find_consignment(reader, options.reference)
    reference = consignment.reference
    copies = valued_copies(reader, reference=reference)
    if not copies:
        raise RefusedError(f"Consignment {reference}", "holds no copy", "pack its boxes first")
    on, currency = rates_day(source, options), currency_code(options.currency)
    gathered = scheduled(reader, copies, currency=currency, on=on, estimated=False)
    by_box: dict[str, list[ScheduledCopy]] = {}
    for one in gathered.listed:
        by_box.setdefault(one.valued.copy.box or "", []).append(one)
    boxes = sorted(list_boxes(reader, reference), key=lambda box: serial_of(box.number))
    return ConsignmentContent(
        on=source.on,
        rates_on=on,
        currency=currency,
        consignment=consignment,
        boxes=tuple((box, tuple(by_box.get(box.number, ()))) for box in boxes),
        gathered=gathered,
        surplus=frozenset(seen.copy for seen in seen_elsewhere(reader, reference) if seen.is_new),
        printings={printing.id: printing for printing in reader.all(Printing)},
        reports=reports,
        proof=proof_of(source, purpose, copies, f"consignment {reference}"),
    )


def names_of(numbers: Sequence[str]) -> str:
    """Write numbers in a row, as many as a sentence of a list has room for, and how many more there are."""
    return some_of(numbers, NAMED)


def value_words(line: ScheduleLine) -> str:
    """Write the value of a line: with its currency, or where it is counted, or that none is recorded."""
    if line.in_set:
        return counted_in(line.in_set, lost=line.lost)
    return say("no value") if line.amount is None else amount_text(line.amount, line.currency)


def stated_as_recorded(one: ScheduledCopy) -> bool:
    """Return whether the value of a copy stands in its line as it was recorded: not converted, and in no set."""
    recorded = one.valued.value
    return recorded is None or (recorded.currency == one.line.currency and not one.line.in_set)


def value_with_basis(one: ScheduledCopy) -> str:
    """Write the value of a copy and, where it stands as it was recorded, its basis under it."""
    recorded = one.valued.value
    basis = say(recorded.basis.value) if recorded is not None and stated_as_recorded(one) else ""
    return "\n".join(filter(None, (value_words(one.line), basis)))


def parties(consignment: Consignment) -> tuple[tuple[str, str], ...]:
    """Return who sends what to whom, from where to where, as (name, text) pairs."""
    return (
        (say("Consignor"), consignment.consignor),
        (say("Consignee"), consignment.consignee),
        (say("Carrier"), consignment.carrier),
        (say("Carrier's reference"), consignment.reference),
        *transport_numbers(consignment),
        (say("From"), consignment.origin),
        (say("To"), consignment.destination),
        (say("Dispatched"), day_text(consignment.dispatched)),
    )


def weighed_in(content: ConsignmentContent, box: Box, copies: Iterable[ScheduledCopy]) -> tuple[ScheduledCopy, ...]:
    """Return those copies that were in a box when it was weighed; none where it never was.

    At packing these are the copies of its list, and of what was on none nobody knows; on arrival, all but those that
    are missing.
    """
    if box.gross_g is not None:
        return tuple(one for one in copies if one.line.number not in content.surplus)
    return () if box.arrived_g is None else tuple(one for one in copies if not one.valued.lost)


def implausible(content: ConsignmentContent, box: Box, copies: Iterable[ScheduledCopy]) -> TooLight | None:
    """Return why the gross mass of a box cannot be right; None where it can, or where it was never weighed."""
    if box.carried_g is None:
        return None
    inside = (one.valued.edition for one in weighed_in(content, box, copies))
    return too_light(box, box.carried_g, stated_g(inside))
