"""Every modulus and every creep of the boards, cell by cell.

Seen in copies: EN 312 type P2 by thickness; Wood Handbook (FPL-GTR-190), table 12-1 (panels: the lower ends of 4.41 to
6.28, 3.10 to 5.52 and 6.96 to 8.55) and table 5-3a (white oak, sugar pine, red maple, Douglas-fir, at 12 % moisture);
other species from a table that quotes it; EN 338; EN 1995-1-1, table 3.2, service class 1. From memory: EN 622-5, and
where the classes of thickness of both panel standards end.
"""

import pytest

from intake.shelving.boards import BOARDS, EC5, board_of

MODULI = {
    "hardboard": 3.10, "OSB": 4.41, "plywood": 6.96,
    "oak": 12.27, "pine": 8.2, "maple": 11.31, "Douglas fir": 13.44,
    "ash": 12.0, "beech": 11.9, "birch": 11.0, "cherry": 10.3, "basswood": 10.1, "alder": 9.5, "aspen": 8.1,
    "spruce": 9.0, "hemlock": 11.2,
    "C14": 7.0, "C16": 8.0, "C18": 9.0, "C24": 11.0, "C30": 12.0,
}  # fmt: skip
P2 = {9: 1.8, 12: 1.8, 15: 1.6, 18: 1.6, 25: 1.5, 30: 1.35}
MDF = {9: 2.7, 12: 2.5, 16: 2.2, 19: 2.2, 22: 2.1, 30: 2.1, 45: 1.9}
K_DEF = {"particleboard": 2.25, "MDF": 2.25, "hardboard": 2.25, "OSB": 2.25, "plywood": 0.80}
SOLID = 0.60


def test_every_modulus() -> None:
    by_name = {board.name: board for board in BOARDS}
    assert set(by_name) == {*MODULI, "particleboard", "MDF"}
    assert {name: by_name[name].modulus_gpa(18) for name in MODULI} == MODULI
    for name, table in (("particleboard", P2), ("MDF", MDF)):
        assert {mm: by_name[name].modulus_gpa(mm) for mm in table} == table
    assert by_name["particleboard"].modulus_gpa(33) is None
    assert by_name["MDF"].modulus_gpa(46) is None


def test_every_k_def() -> None:
    assert {board.name: board.creep for board in BOARDS} == {
        board.name: K_DEF.get(board.name, SOLID) for board in BOARDS
    }


def test_every_figure_names_its_table() -> None:
    tables = ("EN 312", "EN 622-5", "EN 338", "Wood Handbook")
    assert all(board.modulus_source.startswith(tables) for board in BOARDS)
    assert EC5 == "EN 1995-1-1, table 3.2"
    assert all(board.creep_source for board in BOARDS)


NAMED = [
    ("particle board", "particleboard"), ("Chipboard, melamine-faced", "particleboard"), ("birch plywood", "plywood"),
    ("MDF, oak veneer", "MDF"), ("medium-density fibreboard", "MDF"), ("C24 pine", "C24"),
    ("Douglas-fir", "Douglas fir"), ("OAK", "oak"), ("laminated beech", "beech"), ("linden", "basswood"),
    ("hardboard", "hardboard"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "name"), NAMED)
def test_what_a_person_calls_it(words: str, name: str) -> None:
    board = board_of(words)
    assert board is not None
    assert board.name == name


@pytest.mark.parametrize("words", ["", "glass", "steel", "white-washed", "melamine", "oak veneer", "pine-effect foil"])
def test_a_face_is_no_board_and_a_word_inside_a_word_no_wood(words: str) -> None:
    assert board_of(words) is None
