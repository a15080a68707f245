"""Copies leave the collection: sold, given away, lost for good. One is brought back by an undo, or by an edit of it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from intake.edges.store.queries.copies import copies_ever_of_editions
from intake.edges.store.queries.withdrawals import withdrawals_of
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.corrections.correction_plan import CorrectionPlan
from intake.flow.corrections.leaving_boxes import refuse_in_box
from intake.flow.lookup.resolve import find_copy, find_edition
from intake.flow.lookup.wording import title_words
from intake.flow.values.exchange_rates import currency_code
from intake.flow.values.figures import check_amount, refuse_future
from intake.model.changes import Action, ActionKind, Change, made
from intake.model.edition_names import subject_of
from intake.model.editions import Copy, CopyState, Edition
from intake.model.withdrawals import Withdrawal, WithdrawalReason
from intake.units.advice import advice
from intake.units.counts import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class WithdrawalTerms:
    """What is recorded of a withdrawal, for each copy.

    Attributes:
        on: the day on which the copies left.
        amount: for each copy; None where nothing was received.
        currency: of the amount, a code of ISO 4217.
        note: to whom, or how.
    """

    reason: WithdrawalReason
    on: date
    amount: Decimal | None = None
    currency: str = ""
    note: str = ""


def plan_withdrawal(
    reader: LibraryReader,
    copy_texts: Sequence[str],
    terms: WithdrawalTerms,
    *,
    despite_box: bool = False,
    today: date,
    station: str,
) -> CorrectionPlan:
    """Plan that copies leave the collection; what is recorded of one that was withdrawn before is corrected.

    Args:
        reader: of the library.
        copy_texts: the copies, by their own numbers, or by the key or number of an edition with one copy.
        terms: what is recorded of each.
        despite_box: a copy that is recorded as packed in a closed box is not in it.
        today: no copy leaves later.
        station: who does it.

    Raises:
        RefusedError: a copy does not exist, is named twice or lies in a closed box; or one that is missing would be
            sold or given away.
        UsageError: the day is to come, or the amount is none.
    """
    terms = _checked(terms, today)
    copies: list[Copy] = []
    for text in copy_texts:
        copy = find_copy(reader, text)
        if copy in copies:
            raise RefusedError(f"Copy {copy.accession}", "is named twice", "name it once", field="copy")
        copies.append(copy)
    action = Action(ActionKind.WITHDRAW_COPIES, ", ".join(copy.accession for copy in copies), station, note=terms.note)
    changes = _changes(reader, copies, terms, despite_box=despite_box)
    return CorrectionPlan(action=action, changes=changes, remarks=_remarks(copies))


def plan_edition_withdrawal(
    reader: LibraryReader,
    edition_text: str | Edition,
    terms: WithdrawalTerms,
    *,
    despite_box: bool = False,
    today: date,
    station: str,
) -> CorrectionPlan:
    """Plan that all copies of an edition leave the collection; those that left before stay as they are recorded.

    Raises:
        RefusedError: the edition has no copy left; for the rest see `plan_withdrawal`.
    """
    terms = _checked(terms, today)
    edition = edition_text if isinstance(edition_text, Edition) else find_edition(reader, edition_text)
    every = copies_ever_of_editions(reader, [edition.id])
    copies = [copy for copy in every if copy.state is not CopyState.WITHDRAWN]
    if not copies:
        why = "has no copy left to withdraw" if every else "has no copy"
        raise RefusedError(f"'{title_words(edition)}'", why, "look it up to see what became of it")
    remarks = [f"'{title_words(edition)}' has {counted(len(copies), 'copy', 'copies')} to withdraw; its record stays."]
    if len(every) > len(copies):
        before = ", ".join(copy.accession for copy in every if copy.state is CopyState.WITHDRAWN)
        remarks.append(f"Withdrawn before, and left as they are: {before}.")
    if terms.amount is not None and len(copies) > 1:
        remarks.append("The amount is recorded for each of them.")
    action = Action(ActionKind.WITHDRAW_EDITION, subject_of(edition), station, note=terms.note)
    changes = _changes(reader, copies, terms, despite_box=despite_box)
    return CorrectionPlan(action=action, changes=changes, remarks=(*remarks, *_remarks(copies)))


def _checked(terms: WithdrawalTerms, today: date) -> WithdrawalTerms:
    refuse_future(terms.on, today, "give the day on which the copy left")
    if terms.amount is None:
        return replace(terms, currency="")
    if not terms.currency:
        raise UsageError(f"The amount {terms.amount}", "has no currency", "write its three letters, such as EUR")
    currency = currency_code(terms.currency)
    check_amount("Amount", terms.amount, currency)
    return replace(terms, currency=currency)


def _changes(
    reader: LibraryReader, copies: Sequence[Copy], terms: WithdrawalTerms, *, despite_box: bool
) -> tuple[Change, ...]:
    recorded = withdrawals_of(reader, [copy.accession for copy in copies])
    changes: list[Change] = []
    for copy in copies:
        refuse_in_box(reader, copy, despite_box=despite_box)
        changes += _changes_of(copy, terms, recorded)
    return tuple(changes)


def _changes_of(copy: Copy, terms: WithdrawalTerms, recorded: Mapping[str, Withdrawal]) -> Iterable[Change]:
    before = recorded.get(copy.accession)
    was = copy.state if before is None else before.was
    if was is CopyState.MISSING and terms.reason is not WithdrawalReason.LOST:
        remedy = advice(
            "record first that it was found ('intake copy move COPY --to-hand'), or withdraw it as lost for good",
            "record first that it was found: move it, at hand; or withdraw it as lost for good",
        )
        raise RefusedError(f"Copy {copy.accession}", f"is missing and cannot be {terms.reason}", remedy, field="copy")
    withdrawal = Withdrawal(
        copy=copy.accession,
        on=terms.on,
        reason=terms.reason,
        was=was,
        amount=terms.amount,
        currency=terms.currency,
        note=terms.note,
    )
    if before is not None:
        return (Change(before, withdrawal),)
    # Its box stays, as a record of how it travelled; its place on the shelf is free.
    gone = replace(copy, state=CopyState.WITHDRAWN, place=None, position=None, shelfmark="")
    return (Change(copy, gone), *made(withdrawal))


def _remarks(copies: Iterable[Copy]) -> tuple[str, ...]:
    if any(copy.state is CopyState.MISSING for copy in copies):
        return ("What is on a discrepancy report stays on it: the carrier's loss is not settled by a withdrawal.",)
    return ()
