"""The text of a declaration for used household effects, and what the days on record say of its conditions, in words."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from intake.carriage.household import Checked, Condition, DaysFault, Finding, Relief, RemovalDays
from intake.units.advice import Advice

BLANK = "____________________"
TITLES = {
    Relief.EU: "Declaration: personal property on transfer of residence to the European Union",
    Relief.US: "Declaration: used household effects brought to the United States",
}
ARTICLES = {
    Condition.EU_LIVED_OUTSIDE: "article 5",
    Condition.EU_ENTRY_IN_TIME: "article 7",
    Condition.EU_ENTRY_BEFORE_SETTLING: "article 9",
    Condition.EU_KEPT_AFTERWARDS: "article 8",
    Condition.EU_OWNED_BEFORE: "article 4",
    Condition.US_WITHIN_TEN_YEARS: "19 CFR 148.52",
    Condition.US_USED_A_YEAR: "19 CFR 148.52",
}
CONDITIONS = {
    Condition.EU_LIVED_OUTSIDE: "lived outside the customs territory for at least 12 months without a break",
    Condition.EU_ENTRY_IN_TIME: "entered within 12 months of taking up residence",
    Condition.EU_ENTRY_BEFORE_SETTLING: "entered before residence is taken up, which follows within 6 months",
    Condition.EU_KEPT_AFTERWARDS: "for 12 months not lent, pledged, hired out or transferred without telling customs",
    Condition.EU_OWNED_BEFORE: "owned, and used, for at least 6 months before the old residence was given up",
    Condition.US_WITHIN_TEN_YEARS: "brought in within 10 years of the importer's arrival, else explained",
    Condition.US_USED_A_YEAR: "used abroad for at least one year",
}
_EU_SOURCE = (
    "After Regulation (EC) No 1186/2009, articles 3 to 11, in restated words: read the regulation, and ask the customs "
    "office for its own form. It concerns residence moved into the customs territory of the Union from outside; a move "
    "inside it needs no relief, and other countries have rules of their own."
)
_EU_OTHERS = (
    "Who comes to work without settling may be treated likewise, the periods then running from entry (article 10). For "
    "those displaced by exceptional political circumstances some conditions may be waived (article 11, from memory)."
)
_EU_TAX = (
    "Books bear no customs duty in most tariffs (from memory): the relief matters for value added tax, for which "
    "national law has rules of its own."
)
_US_SOURCE = (
    "After 19 CFR 148.52 and heading 9804.00.05 of the Harmonized Tariff Schedule of the United States, in restated "
    "words: read them, and use the form of U.S. Customs and Border Protection (CBP Form 3299)."
)
_US_USE = "The year of use need not be continuous, nor end just before the import; use by the household counts."
_US_PROFESSION = "Professional books that an emigrant owned and used abroad have a rule of their own (19 CFR 148.53)."
NOTES = {Relief.EU: (_EU_SOURCE, _EU_OTHERS, _EU_TAX), Relief.US: (_US_SOURCE, _US_USE, _US_PROFESSION)}
DECIDES = (
    "This is not legal advice. The customs office decides whether relief is granted and which proof it asks for. A "
    "false declaration can cost more than the tax: strike out what is not so."
)


FAULTS: Mapping[DaysFault, tuple[str, Advice]] = {
    DaysFault.NOT_OF_THIS_RULE: (
        "has no use for the day of leaving, or of living outside, under the rule of the United States",
        ("leave out --left and --abroad-since", "leave both days empty"),
    ),
    DaysFault.ABROAD_AFTER_LEFT: (
        "cannot state that you lived outside only after you had left",
        ("correct --abroad-since or --left", "correct one of the two days"),
    ),
    DaysFault.SETTLED_BEFORE_LEFT: (
        "cannot state that the new residence was taken up before the old one was given up: there is one at a time",
        ("correct --settled or --left", "correct one of the two days"),
    ),
    DaysFault.ENTRY_BEFORE_DISPATCH: (
        "cannot state that the goods entered before they were dispatched",
        (
            "correct --entry, or the dispatch with 'intake consign add REFERENCE --dispatched DAY'",
            "correct the day of entry, or that of the dispatch in the consignment",
        ),
    ),
}


def days_to_come(days: RemovalDays, on: date) -> list[str]:
    """Return which of the days of a removal are later than the day of the paper."""
    stated = (
        ("leaving the old residence", days.left),
        ("taking up the new residence", days.settled),
        ("entry", days.entry),
        ("living outside", days.abroad_since),
    )
    return [f"{what}, {day.isoformat()}" for what, day in stated if day is not None and day > on]


def declaration_text(
    relief: Relief, days: RemovalDays, *, not_met: Collection[Condition], origin: str, destination: str
) -> Iterable[str]:
    """Yield the paragraphs to be signed; what is not stated is left to be filled in.

    Args:
        relief: the rule.
        days: of the removal.
        not_met: the conditions that these days do not meet; what they ask for is not to be declared.
        origin: where the goods come from.
        destination: where they go.
    """
    if relief is Relief.EU:
        yield from _eu_text(days, not_met, origin or BLANK, destination or BLANK)
    else:
        yield from _us_text(days, origin or BLANK)


def removal_words(checked: Checked, days: RemovalDays) -> str:
    """Write what the days on record say of a condition of the removal."""
    day, limit = _stated(checked, days), checked.limit
    words = {Finding.MET: "met by these days", Finding.NOT_MET: "NOT met by these days"}.get(checked.finding, "")
    if checked.condition is Condition.EU_LIVED_OUTSIDE:
        since = f"outside since {_day(days.abroad_since)}: 12 months are over on {_day(limit)}; left {_day(days.left)}"
        return _joined(words or "not checked", since)
    if checked.condition is Condition.EU_KEPT_AFTERWARDS:
        return f"yours to keep: until {_day(limit)}" if limit else "not checked; the day of entry is not stated"
    if checked.condition is Condition.EU_ENTRY_BEFORE_SETTLING:
        until = f"residence must be taken up by {_day(limit)}; stated is {_day(days.settled)}"
        return _joined(words or "possible against security and an undertaking", until)
    if checked.condition is Condition.US_WITHIN_TEN_YEARS and checked.finding is Finding.NOT_MET:
        words = "later than 10 years: explain why, or the books are not free of duty"
    return _joined(words or "not checked", f"last day {_day(limit)}; entry {day}")


def copy_words(checked: Checked, bought_by: date | None, printed: int | None, *, of_printing: bool) -> str:
    """Write what the record says of one copy: by when it was bought or printed, and what follows.

    Args:
        checked: what was found.
        bought_by: the day of its purchase value, by which it had been bought; None where there is none.
        printed: the year of printing; None where it is not known.
        of_printing: whether that is the year of its own printing; else it is the edition's.
    """
    year = f"{'printed' if of_printing else 'edition of'} {printed}" if printed else ""
    value = f"purchase value dated {bought_by.isoformat()}" if bought_by else ""
    asks = {
        Condition.EU_OWNED_BEFORE: "6 months before the old residence was given up",
        Condition.US_USED_A_YEAR: "a year before entry",
    }[checked.condition]
    if checked.finding is Finding.NOT_MET:
        return f"{year}, later than {asks}"
    if checked.finding is Finding.MET:
        return f"{value}: bought by then, at least {asks}"
    if bought_by is None:
        return _joined(year, "no day of purchase on record")
    if checked.limit is None:
        return _joined(value, "the day to compare with is not stated")
    return f"{value}: is that the day of purchase? It is later than {asks}"


def _eu_text(days: RemovalDays, not_met: Collection[Condition], origin: str, destination: str) -> Iterable[str]:
    yield (
        "(a) I transfer my normal residence from outside the customs territory of the European Union "
        f"({origin}) to {destination} (article 3)."
    )
    yield (
        f"(b) I gave up my former residence on {_day(days.left)}. Until then the books had been in my possession, and "
        "were used by me or my household there, for at least six months; they are for the same use at my new residence "
        "(article 4)."
    )
    yield _unless(
        Condition.EU_LIVED_OUTSIDE,
        not_met,
        f"(c) I had lived outside the customs territory since {_day(days.abroad_since)}, without a break of the twelve "
        "months before (article 5).",
    )
    yield (
        "(d) They are personal property for my own or my household's use, of a kind and number that show no trade; "
        "nothing here is alcohol, tobacco, a commercial vehicle or an article for use in a trade or profession, other "
        "than portable instruments (articles 2 and 6)."
    )
    if days.entry and days.settled and days.entry < days.settled:
        yield _unless(
            Condition.EU_ENTRY_BEFORE_SETTLING,
            not_met,
            f"(e) They enter on {_day(days.entry)}, before I take up residence; I undertake to do so on "
            f"{_day(days.settled)}, within six months, and give the security that is asked for (article 9).",
        )
    else:
        yield _unless(
            Condition.EU_ENTRY_IN_TIME,
            not_met,
            f"(e) I took up residence on {_day(days.settled)}; the books enter on {_day(days.entry)}, within twelve "
            "months of it, in one consignment or several (article 7).",
        )
    yield (
        "(f) For twelve months after acceptance of the entry I shall not lend, pledge, hire out or transfer them, for "
        "money or free of charge, without telling the customs office first (article 8)."
    )


def _unless(condition: Condition, not_met: Collection[Condition], paragraph: str) -> str:
    """Return a paragraph; where its condition is not met, that there is nothing to sign in its place."""
    if condition not in not_met:
        return paragraph
    return (
        f"{paragraph[:3]} Not declared: by the days stated the condition of {ARTICLES[condition]} is NOT met "
        f"({CONDITIONS[condition]}). Ask the customs office whether relief is possible before you sign anything."
    )


def _us_text(days: RemovalDays, origin: str) -> Iterable[str]:
    yield (
        f"(a) I arrived in the United States on {_day(days.settled)}; the books come from {origin} and enter on "
        f"{_day(days.entry)}."
    )
    yield (
        "(b) They were actually used abroad by me, or by the household that I was a member of, for at least one year "
        "in all."
    )
    yield "(c) They are not intended for any other person, nor for sale."
    yield (f"(d) If they enter more than ten years after my last arrival, the reason is: {BLANK}{BLANK}")


def _stated(checked: Checked, days: RemovalDays) -> str:
    return _day(days.left if checked.condition is Condition.EU_LIVED_OUTSIDE else days.entry)


def _day(day: date | None) -> str:
    return BLANK if day is None else day.isoformat()


def _joined(*parts: str) -> str:
    return "; ".join(filter(None, parts))
