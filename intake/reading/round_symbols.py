"""Reading symbols bent so far round a spine that the edges of one end cannot be counted.

Laid flat along their curve (`intake.reading.round_curves`), they are compared with all numbers, but not searched for:
it is known where they begin and end. The curve is sought through the edges of all digits, then through those of all but
one, as these may be lost too; where both give a number, it has to be the same.
"""

from collections.abc import Sequence

from intake.model.readings import Point
from intake.reading.code_book import CodeBook
from intake.reading.evidence import Evidence
from intake.reading.fuse import ProfileEvidence
from intake.reading.geometry import Grey
from intake.reading.grey_level import rank_candidates
from intake.reading.grey_profile import Profile
from intake.reading.probes import judged_evidence
from intake.reading.round_curves import laid_flat
from intake.reading.symbologies import EAN13

COUNTED = (57, 52)
"""Edges that are counted from one end of an EAN-13: those of all digits, without the last guard, and of all but one."""


def read_round(grey: Grey, evidence: Evidence, known: CodeBook | None, places: Sequence[tuple[Point, ...]]) -> None:
    """Read bars that may be bent round a spine."""
    for corners in places:
        pooled = None if evidence.explains(corners) else evidence.profile_of(grey, corners)
        evidence.add_surer_profile(flat_evidence(pooled, known) if pooled else None)


def flat_evidence(pooled: Profile, known: CodeBook | None) -> ProfileEvidence | None:
    """Read a bent symbol from the profile of its region; None where none is seen, or two numbers are."""
    found = []
    for counted in COUNTED:
        flat = laid_flat(pooled, counted)
        evidence = judged_evidence(flat, rank_candidates(flat, EAN13, known, placed=True), known) if flat else None
        found += [evidence] if evidence else []
    if len({evidence.numbers[:1] for evidence in found}) != 1:
        return None
    return min(found, key=lambda evidence: evidence.error)
