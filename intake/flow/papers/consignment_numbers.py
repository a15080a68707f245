"""Under which numbers a consignment travels, as its papers state them."""

from intake.model.boxes import Consignment
from intake.units.language import say

Facts = tuple[tuple[str, str], ...]


def transport_numbers(consignment: Consignment) -> Facts:
    """Return the contract and the bill of lading, which the carrier knows, as (name, text) pairs."""
    return ((say("Contract"), consignment.contract), (say("Bill of lading"), consignment.bill_of_lading))


def all_numbers(consignment: Consignment) -> Facts:
    """Return the same with the policy, for papers that an insurer gets."""
    return ((say("Policy"), consignment.policy), *transport_numbers(consignment))
