"""Reading strips of bars beside straight edges (`intake.reading.strip_places`), of symbols that something lies over.

All of them may be of one symbol, so that of what their bars say only the surest counts.
"""

from collections.abc import Sequence

from intake.reading.code_book import CodeBook
from intake.reading.decoders import Decoder
from intake.reading.evidence import Evidence
from intake.reading.geometry import Grey
from intake.reading.grey_profile import margin_contrast
from intake.reading.probes import CLEARLY_FRAMED, edge_evidence, profile_evidence, vote_on_symbol
from intake.reading.strip_places import find_strips

STRIPS = 3
"""Most strips that are looked at."""


def read_strips(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder], known: CodeBook | None) -> None:
    """Read strips of bars from their edges, and the best one from its grey levels if nothing is accepted by then."""
    strips = find_strips(grey, most=STRIPS)
    for corners in strips:
        if not evidence.explains(corners):
            edges = edge_evidence(grey, evidence.profile_of(grey, corners))
            evidence.add_surer_profile(edges)
            if edges and edges.numbers:
                evidence.add(vote_on_symbol(grey, edges.corners, decoders))
    for corners in strips[:1]:
        pooled = None if evidence.accepted() else evidence.profile_of(grey, corners)
        if pooled and margin_contrast(pooled, grey) <= CLEARLY_FRAMED:
            evidence.add_surer_profile(profile_evidence(grey, pooled, known))
