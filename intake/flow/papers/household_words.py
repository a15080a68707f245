"""The text of a declaration for used household effects, and what the days on record say of its conditions, in words."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from intake.carriage.household import Checked, Condition, DaysFault, Finding, Relief, RemovalDays
from intake.units.advice import Advice
from intake.units.language import say, say_as, term
from intake.units.local_forms import day_text

BLANK = "____________________"
TITLES = {
    Relief.EU: term("Declaration: personal property on transfer of residence to the European Union"),
    Relief.US: term("Declaration: used household effects brought to the United States"),
}
ARTICLES = {
    Condition.EU_LIVED_OUTSIDE: term("article 5"),
    Condition.EU_ENTRY_IN_TIME: term("article 7"),
    Condition.EU_ENTRY_BEFORE_SETTLING: term("article 9"),
    Condition.EU_KEPT_AFTERWARDS: term("article 8"),
    Condition.EU_OWNED_BEFORE: term("article 4"),
    Condition.US_WITHIN_TEN_YEARS: term("19 CFR 148.52"),
    Condition.US_USED_A_YEAR: term("19 CFR 148.52"),
}
CONDITIONS = {
    Condition.EU_LIVED_OUTSIDE: term("lived outside the customs territory for at least 12 months without a break"),
    Condition.EU_ENTRY_IN_TIME: term("entered within 12 months of taking up residence"),
    Condition.EU_ENTRY_BEFORE_SETTLING: term("entered before residence is taken up, which follows within 6 months"),
    Condition.EU_KEPT_AFTERWARDS: term(
        "for 12 months not lent, pledged, hired out or transferred without telling customs"
    ),
    Condition.EU_OWNED_BEFORE: term("owned, and used, for at least 6 months before the old residence was given up"),
    Condition.US_WITHIN_TEN_YEARS: term("brought in within 10 years of the importer's arrival, else explained"),
    Condition.US_USED_A_YEAR: term("used abroad for at least one year"),
}
_EU_SOURCE = term(
    "After Regulation (EC) No 1186/2009, articles 3 to 11, in restated words: read the regulation, and ask the customs "
    "office for its own form. It concerns residence moved into the customs territory of the Union from outside; a move "
    "inside it needs no relief, and other countries have rules of their own."
)
_EU_OTHERS = term(
    "Who comes to work without settling may be treated likewise, the periods then running from entry (article 10). For "
    "those displaced by exceptional political circumstances some conditions may be waived (article 11, from memory)."
)
_EU_TAX = term(
    "Books bear no customs duty in most tariffs (from memory): the relief matters for value added tax, for which "
    "national law has rules of its own."
)
_US_SOURCE = term(
    "After 19 CFR 148.52 and heading 9804.00.05 of the Harmonized Tariff Schedule of the United States, in restated "
    "words: read them, and use the form of U.S. Customs and Border Protection (CBP Form 3299)."
)
_US_USE = term("The year of use need not be continuous, nor end just before the import; use by the household counts.")
_US_PROFESSION = term(
    "Professional books that an emigrant owned and used abroad have a rule of their own (19 CFR 148.53)."
)
NOTES = {Relief.EU: (_EU_SOURCE, _EU_OTHERS, _EU_TAX), Relief.US: (_US_SOURCE, _US_USE, _US_PROFESSION)}
FOUND = {Finding.MET: term("met by these days"), Finding.NOT_MET: term("NOT met by these days")}
UNCHECKED = term("not checked")
_COMPARED_WITH = {
    Condition.EU_OWNED_BEFORE: term("6 months before the old residence was given up"),
    Condition.US_USED_A_YEAR: term("a year before entry"),
}
DECIDES = term(
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
        (say("leaving the old residence"), days.left),
        (say("taking up the new residence"), days.settled),
        (say_as("of goods into a customs territory", "entry"), days.entry),
        (say("living outside"), days.abroad_since),
    )
    return [f"{what}, {day_text(day)}" for what, day in stated if day is not None and day > on]


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
    day, limit = _stated(checked, days), _day(checked.limit)
    words = say(FOUND.get(checked.finding, ""))
    if checked.condition is Condition.EU_LIVED_OUTSIDE:
        since = term("outside since {since}: 12 months are over on {limit}; left {left}")
        return _joined(words or say(UNCHECKED), say(since, since=_day(days.abroad_since), limit=limit, left=day))
    if checked.condition is Condition.EU_KEPT_AFTERWARDS:
        if checked.limit is None:
            return say("not checked; the day of entry is not stated")
        return say("yours to keep: until {limit}", limit=limit)
    if checked.condition is Condition.EU_ENTRY_BEFORE_SETTLING:
        until = term("residence must be taken up by {limit}; stated is {settled}")
        possible = say("possible against security and an undertaking")
        return _joined(words or possible, say(until, limit=limit, settled=_day(days.settled)))
    if checked.condition is Condition.US_WITHIN_TEN_YEARS and checked.finding is Finding.NOT_MET:
        words = say("later than 10 years: explain why, or the books are not free of duty")
    return _joined(words or say(UNCHECKED), say("last day {limit}; entry {entry}", limit=limit, entry=day))


def copy_words(checked: Checked, bought_by: date | None, printed: int | None, *, of_printing: bool) -> str:
    """Write what the record says of one copy: by when it was bought or printed, and what follows.

    Args:
        checked: what was found.
        bought_by: the day of its purchase value, by which it had been bought; None where there is none.
        printed: the year of printing; None where it is not known.
        of_printing: whether that is the year of its own printing; else it is the edition's.
    """
    year = ""
    if printed:
        year = say("printed {year}", year=printed) if of_printing else say("edition of {year}", year=printed)
    value = say("purchase value dated {day}", day=day_text(bought_by)) if bought_by else ""
    asks = say(_COMPARED_WITH[checked.condition])
    if checked.finding is Finding.NOT_MET:
        return say("{printed}, later than {asked}", printed=year, asked=asks)
    if checked.finding is Finding.MET:
        return say("{value}: bought by then, at least {asked}", value=value, asked=asks)
    if bought_by is None:
        return _joined(year, say("no day of purchase on record"))
    if checked.limit is None:
        return _joined(value, say("the day to compare with is not stated"))
    return say("{value}: is that the day of purchase? It is later than {asked}", value=value, asked=asks)


def _eu_text(days: RemovalDays, not_met: Collection[Condition], origin: str, destination: str) -> Iterable[str]:
    yield say(
        "(a) I transfer my normal residence from outside the customs territory of the European Union ({origin}) to "
        "{destination} (article 3).",
        origin=origin,
        destination=destination,
    )
    yield say(
        "(b) I gave up my former residence on {left}. Until then the books had been in my possession, and were used by "
        "me or my household there, for at least six months; they are for the same use at my new residence (article 4).",
        left=_day(days.left),
    )
    yield _unless(
        Condition.EU_LIVED_OUTSIDE,
        not_met,
        say(
            "(c) I had lived outside the customs territory since {since}, without a break of the twelve months before "
            "(article 5).",
            since=_day(days.abroad_since),
        ),
    )
    yield say(
        "(d) They are personal property for my own or my household's use, of a kind and number that show no trade; "
        "nothing here is alcohol, tobacco, a commercial vehicle or an article for use in a trade or profession, other "
        "than portable instruments (articles 2 and 6)."
    )
    if days.entry and days.settled and days.entry < days.settled:
        yield _unless(
            Condition.EU_ENTRY_BEFORE_SETTLING,
            not_met,
            say(
                "(e) They enter on {entry}, before I take up residence; I undertake to do so on {settled}, within six "
                "months, and give the security that is asked for (article 9).",
                entry=_day(days.entry),
                settled=_day(days.settled),
            ),
        )
    else:
        yield _unless(
            Condition.EU_ENTRY_IN_TIME,
            not_met,
            say(
                "(e) I took up residence on {settled}; the books enter on {entry}, within twelve months of it, in one "
                "consignment or several (article 7).",
                settled=_day(days.settled),
                entry=_day(days.entry),
            ),
        )
    yield say(
        "(f) For twelve months after acceptance of the entry I shall not lend, pledge, hire out or transfer them, for "
        "money or free of charge, without telling the customs office first (article 8)."
    )


def _unless(condition: Condition, not_met: Collection[Condition], paragraph: str) -> str:
    """Return a paragraph; where its condition is not met, that there is nothing to sign in its place."""
    if condition not in not_met:
        return paragraph
    return say(
        "{letter} Not declared: by the days stated the condition of {article} is NOT met ({condition}). Ask the "
        "customs office whether relief is possible before you sign anything.",
        letter=paragraph[:3],
        article=say(ARTICLES[condition]),
        condition=say(CONDITIONS[condition]),
    )


def _us_text(days: RemovalDays, origin: str) -> Iterable[str]:
    yield say(
        "(a) I arrived in the United States on {settled}; the books come from {origin} and enter on {entry}.",
        settled=_day(days.settled),
        origin=origin,
        entry=_day(days.entry),
    )
    yield say(
        "(b) They were actually used abroad by me, or by the household that I was a member of, for at least one year "
        "in all."
    )
    yield say("(c) They are not intended for any other person, nor for sale.")
    yield say("(d) If they enter more than ten years after my last arrival, the reason is: {blank}", blank=2 * BLANK)


def _stated(checked: Checked, days: RemovalDays) -> str:
    return _day(days.left if checked.condition is Condition.EU_LIVED_OUTSIDE else days.entry)


def _day(day: date | None) -> str:
    return BLANK if day is None else day_text(day)


def _joined(*parts: str) -> str:
    return "; ".join(filter(None, parts))
