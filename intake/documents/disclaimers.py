"""The short warnings on labels and lists.

The threshold for two people is common practice, no source: it is not an assessment of a lifting task, which depends on
where the box is lifted from and how often.
"""

from intake.units.convert import kg_text

HEAVY_G = 18_000.0
HEAVY = "Heavy: two people"
INSERT = "Insert, do not stick"
NO_ADVICE = (
    "This list states what its owner recorded. It is not an appraisal and not legal or insurance advice; "
    "the policy or contract decides what is covered."
)
NOT_LEGAL_ADVICE = "Not legal advice: the contract, the policy, local law and licensed advice decide."
NO_PRICES = (
    "This list states no prices. The contract and local law decide what a carrier is liable for, and until when."
)


def lifting(gross_g: float | None) -> str:
    """Return the caution on lifting for a box label; empty for a light box or an unknown mass.

    >>> lifting(18_000.0), lifting(18_010.0)
    ('', 'Heavy: two people')
    """
    return HEAVY if gross_g is not None and gross_g > HEAVY_G else ""


def mass_text(mass_g: float | None) -> str:
    """Return a mass in kilograms, or "not weighed".

    >>> mass_text(None)
    'not weighed'
    """
    return "not weighed" if mass_g is None else kg_text(mass_g)
