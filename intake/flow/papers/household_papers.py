"""The declaration for used household effects: a text to be signed, its conditions checked against the days on record.

Of each copy the record knows at most a day by which it had been bought, that of its latest valuation on the basis of
purchase, and when it was printed. A copy that was printed too late is not covered by the declaration; one that is not
known to have been bought in time is named, for the signer to answer for.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from intake.carriage.household import Checked, Finding, Relief, RemovalDays, check_owned, check_removal, fault_of
from intake.documents import declarations
from intake.edges import fonts
from intake.edges.store.queries.papers import latest_valuations_in
from intake.errors import UsageError
from intake.flow.lookup.wording import title_words
from intake.flow.papers import household_words
from intake.flow.papers.consignment_content import ConsignmentContent, gather_consignment, parties
from intake.flow.papers.customs_questions import MISSING, ON_NO_LIST
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import PaperPages, PaperSource, PaperTable
from intake.flow.papers.schedule_lines import ScheduledCopy
from intake.flow.values.exchange_rates import notices_of
from intake.model.editions import Grade
from intake.model.goods import Declaration
from intake.model.valuations import Basis
from intake.units.counts import counted
from intake.units.language import say, say_as, term

STILL_TO_COME = term("still to come: sign only once it is past, or as a plan where the office asks for one")
COVERED, LEFT_OUT, TO_ANSWER = term("covered"), term("not covered"), term("for the signer to answer")
TABLE_HEADER = (
    term("Box"), term("Copy"), term("Title"), term("Purchase value dated"), term("Declaration"), term("Why"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DeclaredCopy:
    """One copy and whether the declaration covers it."""

    one: ScheduledCopy
    bought_by: date | None
    status: str
    why: str

    @property
    def row(self) -> tuple[str, str, str]:
        """Return its number, its title, and the reason."""
        return (self.one.line.number, title_words(self.one.valued.edition), self.why)


@dataclass(frozen=True, slots=True)
class DeclarationContent:
    """What a declaration says."""

    relief: Relief
    days: RemovalDays
    consignment: ConsignmentContent
    checks: tuple[Checked, ...]
    copies: tuple[DeclaredCopy, ...]


def gather_declaration(source: PaperSource, options: PaperOptions) -> DeclarationContent:
    """Gather a consignment and check its copies against the conditions of a relief.

    Raises:
        RefusedError: there is no such consignment, or its boxes are empty.
        UsageError: the days of the removal cannot be right, or the rule has no use for one of them.
    """
    relief = Relief(options.relief)
    days = RemovalDays(
        left=options.left_on, settled=options.settled_on, abroad_since=options.abroad_since, entry=options.entry_on
    )
    content = gather_consignment(source, options, "declaration of household effects", {})
    fault = fault_of(relief, days, dispatched=content.consignment.dispatched)
    if fault is not None:
        what, remedy = household_words.FAULTS[fault]
        raise UsageError("The declaration of household effects", what, remedy)
    purchases = latest_valuations_in(source.reader, content.consignment.reference, Basis.PURCHASE)
    bought_by = {number: valuation.on for number, valuation in purchases.items()}
    return DeclarationContent(
        relief=relief,
        days=days,
        consignment=content,
        checks=check_removal(relief, days),
        copies=tuple(_declared(content, one, relief, days, bought_by) for one in content.listed),
    )


def lay_out_declaration(content: DeclarationContent, options: PaperOptions) -> PaperPages:
    """Set a declaration on pages."""
    consignment = content.consignment.consignment
    left_out = tuple(copy.row for copy in content.copies if copy.status == LEFT_OUT)
    paper = Declaration(
        title=say(household_words.TITLES[content.relief]),
        reference=consignment.reference,
        on=content.consignment.on,
        facts=((say("Declarant"), options.owner or consignment.consignee), *parties(consignment)),
        text=(_opening(content), *_text(content)),
        checks=tuple(_check_rows(content)),
        left_out=left_out,
        open=tuple(copy.row for copy in content.copies if copy.status == TO_ANSWER),
        totals=tuple(_totals(content)),
        notes=_notes(content),
        signers=(say("Declarant, place, date"), say("Customs office, place, date")),
    )
    pages = declarations.lay_out(paper, measure=fonts.measure, paper_mm=options.paper_mm)
    title = f"{paper.title}, {consignment.reference}"
    notices = notices_of(content.consignment.gathered.added.missing)
    return PaperPages(title=title, pages=pages, author=options.owner, notices=notices)


def tabulate_declaration(content: DeclarationContent, _options: PaperOptions) -> PaperTable:
    """Set a declaration in a table, a row for each copy; text, conditions and totals are in its notes."""
    checks = (f"{article}: {condition}: {says}" for article, condition, says in _check_rows(content))
    rows = [
        (copy.one.valued.copy.box or "", *copy.row[:2], copy.bought_by, say(copy.status), copy.why)
        for copy in content.copies
    ]
    return PaperTable(
        title=say("Household effects"),
        header=TABLE_HEADER,
        rows=rows,
        notes=(
            say(household_words.TITLES[content.relief]),
            _opening(content),
            *_text(content),
            *checks,
            *_totals(content),
            *_notes(content),
        ),
        notices=notices_of(content.consignment.gathered.added.missing),
    )


def _declared(
    content: ConsignmentContent, one: ScheduledCopy, relief: Relief, days: RemovalDays, purchases: Mapping[str, date]
) -> DeclaredCopy:
    """Return whether a declaration covers a copy; what did not arrive is not covered."""
    copy, (printed, of_printing) = one.valued.copy, content.printed(one)
    bought_by = purchases.get(copy.accession)
    checked = check_owned(relief, days, bought_by=bought_by, printed=printed)
    words = household_words.copy_words(checked, bought_by, printed, of_printing=of_printing)
    if one.valued.lost:
        return DeclaredCopy(one, bought_by, LEFT_OUT, say(MISSING))
    if one.valued.awaited:
        return DeclaredCopy(one, bought_by, LEFT_OUT, say("its box has not arrived"))
    if checked.finding is Finding.NOT_MET:
        return DeclaredCopy(one, bought_by, LEFT_OUT, words)
    if copy.accession in content.surplus:
        return DeclaredCopy(one, bought_by, TO_ANSWER, f"{say(ON_NO_LIST)}; {words}")
    if checked.finding is Finding.OPEN:
        return DeclaredCopy(one, bought_by, TO_ANSWER, words)
    if copy.grade is Grade.AS_NEW:
        return DeclaredCopy(one, bought_by, TO_ANSWER, f"{words}; {say('graded As New: was it used?')}")
    return DeclaredCopy(one, bought_by, COVERED, words)


def _opening(content: DeclarationContent) -> str:
    reference = content.consignment.consignment.reference
    return say(
        "I, the undersigned, declare of the books in the list of goods for customs of consignment {reference}, other "
        "than those named below as not covered:",
        reference=reference,
    )


def _notes(content: DeclarationContent) -> tuple[str, ...]:
    return tuple(map(say, (*household_words.NOTES[content.relief], household_words.DECIDES)))


def _text(content: DeclarationContent) -> Iterable[str]:
    consignment = content.consignment.consignment
    return household_words.declaration_text(
        content.relief,
        content.days,
        not_met={checked.condition for checked in content.checks if checked.finding is Finding.NOT_MET},
        origin=consignment.origin,
        destination=consignment.destination,
    )


def _check_rows(content: DeclarationContent) -> list[tuple[str, str, str]]:
    """Return the rows of the conditions of the removal, and of the one that each copy has to meet."""
    rows = [_check_row(content, checked) for checked in content.checks]
    rows += [
        (say_as("instead of the article of a rule", "day"), what, say(STILL_TO_COME))
        for what in household_words.days_to_come(content.days, content.consignment.on)
    ]
    of_copies = check_owned(content.relief, content.days, bought_by=None, printed=None).condition
    counts = [
        f"{sum(copy.status == status for copy in content.copies)} {say(status)}"
        for status in (COVERED, TO_ANSWER, LEFT_OUT)
    ]
    says = say("copy by copy: {counts}", counts=", ".join(counts))
    return [*rows, (say(household_words.ARTICLES[of_copies]), say(household_words.CONDITIONS[of_copies]), says)]


def _check_row(content: DeclarationContent, checked: Checked) -> tuple[str, str, str]:
    condition = checked.condition
    says = household_words.removal_words(checked, content.days)
    return (say(household_words.ARTICLES[condition]), say(household_words.CONDITIONS[condition]), says)


def _totals(content: DeclarationContent) -> Iterable[str]:
    """Yield how many pieces there are, how many of them are covered, and what those are worth."""
    covered = [copy.one for copy in content.copies if copy.status != LEFT_OUT]
    pieces = counted(len(content.copies), "piece", "pieces")
    value = content.consignment.worth(covered)
    yield say(
        "{pieces} in the list; {covered} covered or for the signer to answer, value {value}",
        pieces=pieces,
        covered=len(covered),
        value=value,
    )
