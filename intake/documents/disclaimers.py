"""The short warnings on labels and lists; `say` puts them into the language of a paper."""

from intake.units.convert import kg_text
from intake.units.language import say, term

INSERT = term("Insert, do not stick")
NO_ADVICE = term(
    "This list states what its owner recorded. It is not an appraisal and not legal or insurance advice; "
    "the policy or contract decides what is covered."
)
NOT_LEGAL_ADVICE = term("Not legal advice: the contract, the policy, local law and licensed advice decide.")
NO_PRICES = term(
    "This list states no prices. The contract and local law decide what a carrier is liable for, and until when."
)


def mass_text(mass_g: float | None) -> str:
    """Return a mass in kilograms, or "not weighed".

    >>> mass_text(None)
    'not weighed'
    """
    return say("not weighed") if mass_g is None else kg_text(mass_g)
