"""How long each symbology is looked for in a grey profile."""

from dataclasses import dataclass

from intake.reading.symbologies import EAN8, EAN13, UPCE


@dataclass(frozen=True, slots=True)
class Effort:
    """Limits of the search for one symbology.

    Attributes:
        narrowest: least width of the symbol as a share of the located region, which may include other bars.
        widest: greatest width: the region may not include all its bars.
        starts: number of starts from the coarse search, for each reading direction.
        kept: number of all starts that are given digits.
        unlike: greatest misfit of the best start; beyond it there is no symbol.
        hopeless: the same after one turn.
        bluntest: greatest blur, in modules, of the best after one turn; beyond it anything fits.
    """

    narrowest: float
    widest: float
    starts: int
    kept: int
    unlike: float
    hopeless: float
    bluntest: float


EFFORTS = {
    EAN13.name: Effort(narrowest=0.4, widest=1.42, starts=18, kept=10, unlike=0.4, hopeless=0.22, bluntest=1.75),
    # Rare, and searched for only where EAN-13 has failed, which includes all pictures without a symbol.
    EAN8.name: Effort(narrowest=0.55, widest=1.2, starts=6, kept=4, unlike=0.28, hopeless=0.12, bluntest=1.45),
    UPCE.name: Effort(narrowest=0.55, widest=1.2, starts=6, kept=4, unlike=0.28, hopeless=0.12, bluntest=1.45),
}
