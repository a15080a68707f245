"""The supplement beside each accepted symbol: read, or told as not read.

Whether there is one is judged by the edges beside the symbol. Print and pictures have edges too, so that "not read"
says that there may be one, not that there is.
"""

from collections.abc import Sequence
from dataclasses import replace

from intake.model.identifiers import NumberKind
from intake.model.readings import Point, Reading
from intake.reading.decoders import Decoder
from intake.reading.evidence import Evidence
from intake.reading.geometry import Grey
from intake.reading.probes import FEWER_EDGES, FEWEST_EDGES, count_edges_beside, supplement_evidence, vote_on_symbol
from intake.reading.symbol_forms import SymbolForm
from intake.reading.symbologies import EAN8, symbology_of
from intake.reading.versions import CLEAR, PLAIN
from intake.reading.vote import add_on_votes, agreed_add_on, group_votes, overlap

TOLD_EDGES = 6
"""Edges beside a symbol from which a supplement that was not read is told."""


def read_supplements(grey: Grey, evidence: Evidence, decoders: Sequence[Decoder]) -> None:
    """Read supplements where there are edges beside a symbol and no supplement has been agreed on.

    The decoders are tried first, then the grey levels are compared; these need fewer edges, which blur removes.
    """
    for place in group_votes(evidence.votes):
        if place.form is not SymbolForm.LONG:
            continue
        if edges_beside(grey, evidence, place.corners) >= FEWEST_EDGES or add_on_votes(place):
            for version in (PLAIN, CLEAR):
                if not any(agreed_add_on(now) for now in group_votes(evidence.votes) if now.number == place.number):
                    evidence.add(vote_on_symbol(grey, place.corners, decoders, version))
    for reading in evidence.accepted():
        if lacks_supplement(reading) and edges_beside(grey, evidence, reading.corners) >= FEWER_EDGES:
            evidence.add_supplement(supplement_evidence(grey, reading))


def edges_beside(grey: Grey, evidence: Evidence, corners: tuple[Point, ...]) -> int:
    """Return the number of edges to the right of a symbol, counted once however many look at it."""
    if corners not in evidence.edges_beside:
        evidence.edges_beside[corners] = count_edges_beside(grey, corners)
    return evidence.edges_beside[corners]


def with_unread_supplements(grey: Grey, evidence: Evidence) -> tuple[Reading, ...]:
    """Return the readings, marked where there may be a supplement beside an accepted one that was not read."""
    places = group_votes(evidence.votes)

    def may_have_one(reading: Reading) -> bool:
        here = (place for place in places if place.number == reading.number and overlap(place.corners, reading.corners))
        return any(add_on_votes(place) for place in here) or edges_beside(grey, evidence, reading.corners) >= TOLD_EDGES

    return tuple(
        replace(reading, add_on_unread=True) if lacks_supplement(reading) and may_have_one(reading) else reading
        for reading in evidence.readings()
    )


def lacks_supplement(reading: Reading) -> bool:
    """Return whether an accepted reading is of a symbol that can have a supplement, and none was read."""
    if not reading.accepted or reading.add_on is not None or not reading.corners:
        return False
    return reading.kind is not NumberKind.OWN and symbology_of(reading.number) is not EAN8
