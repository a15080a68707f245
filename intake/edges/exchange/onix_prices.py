"""What a product of ONIX for Books costs: one of its prices is taken, and the others are named.

Of several, the recommended retail price with tax comes first, as a person would pay it. A price without a currency is
none here: the header's default for the whole message is not applied to it.
"""

from typing import TYPE_CHECKING

from intake.edges.exchange.record_remarks import Remarks

if TYPE_CHECKING:
    from intake.edges.exchange.onix_read import Onix

PRICE_TYPES = ("02", "04", "01", "03")
"""List 58: recommended with tax, fixed with tax, recommended without, fixed without (from memory)."""
USED = frozenset(("PriceType", "PriceTypeCode", "PriceAmount", "CurrencyCode"))


def price_cells(product: "Onix", remarks: Remarks) -> dict[str, str]:
    """Return amount and currency; nothing where no price that has both is stated.

    Release 3.0 has the details of supply in `ProductSupply`, release 2.1 in the product itself.
    """
    supplies = product.all("ProductSupply") or [product]
    if supplies[0] is not product:
        _note_others(supplies, frozenset(("SupplyDetail",)), remarks)
    details = [detail for supply in supplies for detail in supply.all("SupplyDetail")]
    _note_others(details, frozenset(("Price",)), remarks)
    prices = [price for detail in details for price in detail.all("Price")]
    _note_others(prices, USED, remarks)
    stated = [
        (price.value("PriceType", "PriceTypeCode"), price.value("PriceAmount"), price.value("CurrencyCode"))
        for price in prices
    ]
    usable = [one for kind in PRICE_TYPES for one in stated if one[0] == kind and one[1] and one[2]]
    for kind, amount, currency in (one for one in stated if one not in usable[:1]):
        remarks.left_out(f"Price {kind}", f"{amount} {currency}".strip())
    return {"price": usable[0][1], "currency": usable[0][2]} if usable else {}


def _note_others(parents: list["Onix"], used: frozenset[str], remarks: Remarks) -> None:
    for parent in parents:
        for name in parent.names:
            if name not in used:
                remarks.left_out(name, parent.glimpse(name))
