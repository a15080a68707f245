"""What was seen of a box on arrival, in words; masses by hand."""

from dataclasses import replace

from intake.flow.moving.arrival_words import note_words
from intake.model.boxes import Box, BoxState, CartonState


def test_what_was_seen_on_arrival_is_said_to_be_so_on_a_packing_list() -> None:
    closed = Box(number="B1-56", state=BoxState.CLOSED, note="Top is loose.")
    assert note_words(closed) == "Top is loose."
    arrived = replace(closed, state=BoxState.ARRIVED, carton=CartonState.CRUSHED, gross_g=9000, arrived_g=7000)
    assert note_words(arrived) == (
        "Seen on arrival: carton crushed; mass 9.00 kg at packing, 7.00 kg on arrival (2000 g less). "
        "Note of the box: Top is loose."
    )
    assert note_words(Box(number="B1-56", state=BoxState.ARRIVED)) == ""
