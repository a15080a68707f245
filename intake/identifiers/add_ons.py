"""The 2 or 5 digits beside a barcode: a price, an issue number, or nothing at all.

As text, an add-on has no check digit of its own (the decoder has checked its parity pattern), so a price or issue read
here is shown to a person and never recorded as a fact.

Sources: prices: the practice of the North American book trade for the five-digit add-on of an ISBN; the first digits
for the pound are historic. Issues: comics have no standard; both layouts in use are returned (common practice).
"""

from dataclasses import dataclass
from decimal import Decimal

from intake.model.identifiers import NumberKind

CURRENCIES = {"0": "GBP", "1": "GBP", "3": "AUD", "4": "NZD", "5": "USD", "6": "CAD"}
SIGNS = {"GBP": "£", "AUD": "AU$", "NZD": "NZ$", "USD": "US$", "CAD": "CA$"}


@dataclass(frozen=True, slots=True)
class Price:
    """A printed price: `amount` in `currency` (ISO 4217); with `at_least`, the add-on encodes only a lower bound."""

    amount: Decimal
    currency: str
    at_least: bool = False


@dataclass(frozen=True, slots=True)
class Issue:
    """One reading of the add-on of a periodical.

    Attributes:
        layout: which digits are the issue (I), the cover (C) and the printing (P): "II", "IIICP" or "IICCP".
    """

    layout: str
    issue: int
    cover: int | None = None
    printing: int | None = None


def is_add_on(text: str) -> bool:
    """Return whether a text is 2 or 5 ASCII digits."""
    return len(text) in (2, 5) and text.isascii() and text.isdecimal()


def read_price(add_on: str) -> Price | str:
    """Read the price from the add-on of a book, or return the reason why it encodes none.

    Args:
        add_on: 2 or 5 digits.

    Raises:
        ValueError: the text is not 2 or 5 digits.

    >>> read_price("51299")
    Price(amount=Decimal('12.99'), currency='USD', at_least=False)
    >>> read_price("90000")
    'no price is given'
    """
    require_add_on(add_on)
    if len(add_on) == 2:
        return "2 digits do not encode a price"
    if add_on[0] == "9":
        return "no price is given" if add_on == "90000" else f"{add_on} is a trade code, not a price"
    currency = CURRENCIES.get(add_on[0])
    if currency is None:
        return f"first digit {add_on[0]} is not assigned to a currency"
    if add_on[1:] == "0000":
        return f"{add_on} encodes a price of zero"
    if add_on == "59999":
        return Price(Decimal(100), currency, at_least=True)
    return Price(Decimal(int(add_on[1:])).scaleb(-2), currency)


def read_issues(add_on: str) -> tuple[Issue, ...]:
    """Read the issue from the add-on of a periodical, in every layout in use (common practice, no standard).

    Raises:
        ValueError: the text is not 2 or 5 digits.

    >>> [(r.layout, r.issue, r.cover, r.printing) for r in read_issues("04611")]
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
    """Explain in words what an add-on means beside a number of this kind.

    >>> notes("52995", NumberKind.ISBN)
    ('add-on 52995: printed price US$29.95',)
    """
    if kind in (NumberKind.ISBN, NumberKind.ISMN):
        return (f"add-on {add_on}: {price_text(read_price(add_on))}",)
    if len(add_on) == 2:
        return (f"add-on {add_on}: issue {int(add_on)} (week, month or quarter; numbering restarts each year)",)
    if kind is NumberKind.ISSN:
        return (f"add-on {add_on}: issue, in the publisher's own numbering",)
    layouts = ", or ".join(
        f"issue {issue.issue}, cover {issue.cover}, printing {issue.printing}" for issue in read_issues(add_on)
    )
    return (f"add-on {add_on}: {layouts} (both layouts are in use, no standard decides)",)


def price_text(price: Price | str) -> str:
    """Format a price; a reason why there is none is returned as it is."""
    if isinstance(price, str):
        return price
    historic = " (as once used in the UK)" if price.currency == "GBP" else ""
    return f"printed price {SIGNS[price.currency]}{price.amount}{' or more' if price.at_least else ''}{historic}"
