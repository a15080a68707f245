"""The 2 or 5 digits beside a barcode: a price, an issue number, or nothing at all.

An add-on carries no check digit of its own once it is text (its parity pattern is checked by the decoder), so every
meaning here is a claim to be confirmed, never a fact to be booked.

Sources: prices: the practice of the North American book trade for the five-digit add-on of an ISBN; the pound digits
are historic. Issues: for comics there is no standard; both layouts in use are returned (common practice).
"""

from dataclasses import dataclass
from decimal import Decimal

from intake.model.identifiers import NumberKind

CURRENCIES = {"0": "GBP", "1": "GBP", "3": "AUD", "4": "NZD", "5": "USD", "6": "CAD"}
SIGNS = {"GBP": "£", "AUD": "AU$", "NZD": "NZ$", "USD": "US$", "CAD": "CA$"}


@dataclass(frozen=True, slots=True)
class Price:
    """A printed price: `amount` in `currency` (ISO 4217); `at_least` when the add-on can say no more than that."""

    amount: Decimal
    currency: str
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Issue:
    """What an add-on may say of one issue of a periodical.

    Attributes:
        layout: how the digits were read: "II", or I issue, C cover, P printing as "IIICP" or "IICCP".
    """

    layout: str
    issue: int
    cover: int | None = None
    printing: int | None = None


def is_add_on(text: str) -> bool:
    """Say whether a text is 2 or 5 ASCII digits."""
    return len(text) in (2, 5) and text.isascii() and text.isdecimal()


def price(add_on: str) -> Price | str:
    """Read the price that the add-on of a book claims, or say why there is none.

    Args:
        add_on: 2 or 5 digits.

    Raises:
        ValueError: the text is not 2 or 5 digits.

    >>> price("51299")
    Price(amount=Decimal('12.99'), currency='USD', at_least=False)
    >>> price("90000")
    'no price is given'
    """
    require_add_on(add_on)
    if len(add_on) == 2:
        return "2 digits state no price"
    if add_on[0] == "9":
        return "no price is given" if add_on == "90000" else f"{add_on} is a code of the trade, not a price"
    currency = CURRENCIES.get(add_on[0])
    if currency is None:
        return f"first digit {add_on[0]} stands for no currency"
    if add_on[1:] == "0000":
        return f"{add_on} states an amount of nothing"
    if add_on == "59999":
        return Price(Decimal(100), currency, at_least=True)
    return Price(Decimal(int(add_on[1:])).scaleb(-2), currency)


def issue_of(add_on: str) -> tuple[Issue, ...]:
    """Read the issue that the add-on of a periodical claims, in every layout in use (common practice, no standard).

    Raises:
        ValueError: the text is not 2 or 5 digits.

    >>> [(r.layout, r.issue, r.cover, r.printing) for r in issue_of("04611")]
    [('IIICP', 46, 1, 1), ('IICCP', 4, 61, 1)]
    """
    require_add_on(add_on)
    if len(add_on) == 2:
        return (Issue("II", int(add_on)),)
    printing = int(add_on[4])
    return (
        Issue("IIICP", int(add_on[:3]), int(add_on[3]), printing),
        Issue("IICCP", int(add_on[:2]), int(add_on[2:4]), printing),
    )


def require_add_on(add_on: str) -> None:
    """Raise ValueError unless a text is 2 or 5 digits."""
    if not is_add_on(add_on):
        msg = f"an add-on is 2 or 5 digits, not {add_on!r}"
        raise ValueError(msg)


def notes(add_on: str, kind: NumberKind) -> tuple[str, ...]:
    """Say in words what an add-on means beside a number of this kind.

    >>> notes("52995", NumberKind.ISBN)
    ('add-on 52995: printed price US$29.95',)
    """
    if kind in (NumberKind.ISBN, NumberKind.ISMN):
        return (f"add-on {add_on}: {price_text(price(add_on))}",)
    if len(add_on) == 2:
        return (f"add-on {add_on}: issue {int(add_on)} (week, month or quarter; counted anew each year)",)
    if kind is NumberKind.ISSN:
        return (f"add-on {add_on}: issue, as the publisher counts",)
    layouts = ", or ".join(
        f"issue {claim.issue}, cover {claim.cover}, printing {claim.printing}" for claim in issue_of(add_on)
    )
    return (f"add-on {add_on}: {layouts} (both are in use, no standard tells which)",)


def price_text(claim: Price | str) -> str:
    """Write a price, or the reason why there is none."""
    if isinstance(claim, str):
        return claim
    historic = " (as once used in the UK)" if claim.currency == "GBP" else ""
    return f"printed price {SIGNS[claim.currency]}{claim.amount}{' or more' if claim.at_least else ''}{historic}"
