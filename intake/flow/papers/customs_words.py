"""What a customs list says of headings, of old books and of what is not known, in words."""

from collections import Counter
from collections.abc import Iterable

from intake.model.currencies import Money
from intake.model.editions import Copy, Grade
from intake.model.schedules import ScheduleLine
from intake.units.convert import exact_kg_text
from intake.units.language import say, term
from intake.valuing.condition import damage_words
from intake.valuing.customs import AntiqueQuestion, HeadingQuestion, TariffHeading
from intake.weighing.plausible import GrossFault, TooLight

PRINTED_BOOKS = term("printed books")
NAMES = {
    "4901": PRINTED_BOOKS,
    "4902": term("periodicals"),
    "4903": term("children's picture, drawing or colouring books"),
    "4904": term("printed music"),
    "4905": term("maps, atlases"),
    "9705": term("collections of historical interest"),
    "9706": term("antiques over 100 years old"),
}
DICTIONARIES = term("dictionaries and encyclopaedias")
QUESTIONS = {
    HeadingQuestion.ATLAS_OF_MAPS: term("4905 for its title; 4901.99 if it is not an atlas of maps"),
    HeadingQuestion.ATLAS_OF_OTHER: term("4905 if it is an atlas of maps"),
    HeadingQuestion.CHILDRENS_PICTURES: term(
        "4903 if it is a children's book of which pictures are the principal interest"
    ),
    HeadingQuestion.MAPS_BY_SUBJECT: term("4905 for its subject alone; 4901.99 if it is not of maps itself"),
    HeadingQuestion.SHEET_OR_MAP: term(
        "4901.10 if it is a single sheet of text, folded or not; 4905 if it is itself a map"
    ),
    HeadingQuestion.SINGLE_SHEET: term("4901.10 if it is a single sheet, folded or not"),
}
SUBHEADING = term(
    "Atlases belong to heading 4905; its subheading 4905.20, maps in book form, was seen in a copy of the EU tariff "
    "and is unconfirmed for other countries (older tables: 4905.91)."
)
ANTIQUES = term(
    "Whether a printed book over 100 years old is declared under 4901, as an antique under 9706, or as a collection of "
    "historical interest under 9705, is decided nationally: it is asked here, not decided. Ages are in calendar "
    "years; 'exceeding 100 years' and 'exceeding 250 years' turn on the day of printing."
)


def goods_words(heading: TariffHeading) -> str:
    """Write what a heading is called."""
    if heading.code == "4901.91":
        return say(DICTIONARIES)
    return say(NAMES.get(heading.heading, term("as declared")))


def contents_words(headings: Iterable[TariffHeading]) -> str:
    """Write what is in a box by the headings proposed for it, each kind of goods once, the most frequent first."""
    kinds = Counter(map(goods_words, headings))
    return "; ".join(kind for kind, _ in kinds.most_common()) or say(PRINTED_BOOKS)


def antique_words(question: AntiqueQuestion, *, of_printing: bool) -> str:
    """Write what is asked of an old book, and what its age rests on.

    Args:
        question: as asked.
        of_printing: whether the year is that of the copy's own printing; else it is the edition's.
    """
    basis = say("edition of {year}, printing not recorded", year=question.printed)
    if of_printing:
        basis = say("printed {year}", year=question.printed)
    asked = {"basis": basis, "age": question.age}
    if question.set_code:
        words = term("{set} is set; {code} by its age? {basis}: {age} years")
        return say(words, set=question.set_code, code=question.code, **asked)
    if question.on_the_limit:
        younger, older = ("9706.90", "9706.10") if question.age > 100 else ("4901", "9706.90")
        return say(
            "4901 or {older}? {basis}: just {age} years, {younger} unless printed before this day of the year",
            older=older,
            younger=younger,
            **asked,
        )
    return say("4901 or {code}? {basis}: {age} years", code=question.code, **asked)


def too_light_words(number: str, light: TooLight) -> str:
    """Write that the gross mass of a box cannot be right, and what to do about it."""
    least = exact_kg_text(light.least_g)
    if light.fault is GrossFault.NOT_ABOVE_TARE:
        empty = term(
            "Box {number} is recorded as no heavier than empty ({mass}). Weigh it again, or correct the masses of the "
            "catalog."
        )
        return say(empty, number=number, mass=least)
    return say(
        "Box {number} is recorded as lighter than its books alone ({mass} by the catalog). Weigh it again, or correct "
        "the masses of the catalog.",
        number=number,
        mass=least,
    )


def beside_tare_words(number: str, gross_g: float, pieces_g: float, tare_g: float) -> str:
    """Write that the pieces of a box and the empty box together weigh more than the box did."""
    return say(
        "Box {number}: its pieces ({pieces}) and the empty box ({empty}) weigh more than the {gross} that it weighed. "
        "Weigh the empty box again, or correct the masses of the catalog.",
        number=number,
        pieces=exact_kg_text(pieces_g),
        empty=exact_kg_text(tare_g),
        gross=exact_kg_text(gross_g),
    )


def value_cells(line: ScheduleLine) -> tuple[Money | None, str, str, str]:
    """Return value, currency, basis and whether it was found, as tables have them; empty where no value is counted."""
    found = say("no") if line.lost else say("yes")
    if line.amount is None:
        return (None, "", "", found)
    return (Money(line.amount, line.currency), line.currency, say(line.basis.value) if line.basis else "", found)


def state_of(copy: Copy, damage: str | None) -> str:
    """Return the state in which a copy is declared; of one that nobody inspected, that is not claimed to be known.

    Args:
        copy: which.
        damage: what was recorded of its damage as it came out of its box; None where none was.
    """
    state = say("as new") if copy.grade is Grade.AS_NEW else say("used")
    if copy.grade is None:
        state = say("wrapped, not inspected") if copy.wrapped else say("not inspected")
    return "; ".join(filter(None, (state, damage_words(damage))))
