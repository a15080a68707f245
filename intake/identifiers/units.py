"""Numbers of cartons and of carriers' units (GTIN-14, SSCC): recognised, so that they can be refused by their names.

Sources: GS1 General Specifications, trade units (GTIN-14, first digit 1 to 9), carriers' units (SSCC, 18 digits),
application identifiers 00 and 01 before them, check digit 7.9.1.
"""

from collections.abc import Callable

from stdnum import ean

from intake.identifiers.forms import EAN13
from intake.identifiers.repairs import option, repairs
from intake.model.identifiers import Check, Rejection

GTIN14 = 14
SSCC = 18
APPLICATION_IDENTIFIERS = {GTIN14 + 2: "01", SSCC + 2: "00"}


def explain_unit(text: str, digits: str, is_known: Callable[[str], bool]) -> Rejection | None:
    """Explain the number of a carton or of a carrier's unit, right or with a wrong check digit; else return None.

    Args:
        text: the original text, kept in the rejection.
        digits: with or without the application identifier.
        is_known: whether the catalog has a number of 13 digits.

    >>> explain_unit("", "376104250021234569", lambda number: False).reason
    "is the number of a carrier's shipping unit (SSCC), not of a book"
    """
    if not digits.isdecimal() or not digits.isascii() or not digits.strip("0"):
        return None
    marked = digits.startswith(APPLICATION_IDENTIFIERS.get(len(digits), "no"))
    unit = digits[2:] if marked else digits
    right = ean.calc_check_digit(unit[:-1]) == unit[-1]
    if len(unit) == GTIN14 and (right or marked):
        return _explain_carton(text, unit, is_known, right=right)
    if len(unit) == SSCC and (right or not unit.startswith(("977", "978", "979"))):
        name = "the number of a carrier's shipping unit (SSCC)"
        if right:
            return Rejection(text, Check.PREFIX, f"is {name}, not of a book")
        has = "has 18 digits after the application identifier 00" if marked else "has 18 digits"
        wrong = f"{has}, as {name} has, but its check digit would be {ean.calc_check_digit(unit[:-1])}"
        return Rejection(text, Check.CHECK_DIGIT, wrong)
    return None


def _explain_carton(text: str, unit: str, is_known: Callable[[str], bool], *, right: bool) -> Rejection:
    if not right:
        wrong = f"the check digit of GTIN-14 {unit} is wrong: it would be {ean.calc_check_digit(unit[:-1])}"
        return Rejection(text, Check.CHECK_DIGIT, wrong)
    single = unit.startswith("0")
    reason, how = "is the number of a carton (GTIN-14), not of the book in it", "the item inside the carton"
    if single:  # the form of 14 digits of an item's own 13
        reason, how = "has the 14 digits of a carton's number, but is that of one item", "without what stands before it"
    inside = EAN13.read(unit[1:13] + str(ean.calc_check_digit(unit[1:13])))
    item = () if inside is None else (option(inside, how, is_known),)
    others = (repair for repair in repairs(unit, (), is_known) if all(repair.written != one.written for one in item))
    options = sorted((*item, *others), key=lambda repair: not repair.in_catalog)
    return Rejection(text, Check.PREFIX, reason, tuple(options))
