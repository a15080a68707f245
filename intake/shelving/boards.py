"""Boards of shelves by material: how stiff they are, and how much their sag grows while the books stand on them.

Panels differ by a factor of two between a standard's least value and a good board; the lower figure is taken, so that
a sag is what is to be expected at most. Modulus of elasticity: European standards for particleboard and MDF (least
values by thickness; their classes of thickness are from memory), else the Wood Handbook of the US Forest Products
Laboratory (FPL-GTR-190, tables 5-3a and 12-1, at 12 % moisture; seen in copies) and EN 338 for graded timber (means;
seen in a copy). Creep: k_def of EN 1995-1-1, table 3.2, service class 1 (heated rooms; seen in a copy); the final sag
is the present one times 1 + k_def. The table has no furniture board: for EN 312 P2 the value of P4 is assumed.
"""

import re
from dataclasses import dataclass
from math import inf

from intake.units.language import term

EC5 = term("EN 1995-1-1, table 3.2")
SOLID_CREEP, PLYWOOD_CREEP, PANEL_CREEP = 0.60, 0.80, 2.25
HANDBOOK_SOLID = term("Wood Handbook, table 5-3a")
HANDBOOK_PANEL = term("Wood Handbook, table 12-1")
HANDBOOK_QUOTED = term("Wood Handbook, as quoted in a table of species")


@dataclass(frozen=True, slots=True)
class Board:
    """One material of boards.

    Attributes:
        name: as it is called.
        words: what it is recognised by in a person's words, in lower case.
        moduli: (greatest thickness in mm, modulus of elasticity in GPa), the thinnest first.
        modulus_source: the table of the modulus.
        creep: k_def.
        creep_source: the row of k_def in `EC5`, and what was assumed.
    """

    name: str
    words: tuple[str, ...]
    moduli: tuple[tuple[float, float], ...]
    modulus_source: str
    creep: float
    creep_source: str

    def modulus_gpa(self, board_mm: float) -> float | None:
        """Return the modulus of elasticity of a board of this thickness; None above the thickest of the table."""
        return next((modulus for most, modulus in self.moduli if board_mm <= most), None)


def _solid(name: str, modulus_gpa: float, source: str, *also: str) -> Board:
    return Board(name, (name.casefold(), *also), ((inf, modulus_gpa),), source, SOLID_CREEP, term("solid timber"))


BOARDS = (
    Board(
        term("particleboard"),
        ("particleboard", "particle board", "chipboard"),
        ((13, 1.8), (20, 1.6), (25, 1.5), (32, 1.35)),
        term("EN 312, type P2"),
        PANEL_CREEP,
        term("particleboard P4 (P2 is not in it)"),
    ),
    Board(
        "MDF",
        ("mdf", "fibreboard", "fiberboard"),
        ((9, 2.7), (12, 2.5), (19, 2.2), (30, 2.1), (45, 1.9)),
        term("EN 622-5, from memory"),
        PANEL_CREEP,
        "MDF.LA",
    ),
    Board(term("hardboard"), ("hardboard",), ((inf, 3.10),), HANDBOOK_PANEL, PANEL_CREEP, "HB.LA"),
    Board("OSB", ("osb", "oriented strand board"), ((inf, 4.41),), HANDBOOK_PANEL, PANEL_CREEP, "OSB/2"),
    Board(term("plywood"), ("plywood", "ply"), ((inf, 6.96),), HANDBOOK_PANEL, PLYWOOD_CREEP, term("plywood")),
    _solid("C14", 7.0, "EN 338"),
    _solid("C16", 8.0, "EN 338"),
    _solid("C18", 9.0, "EN 338"),
    _solid("C24", 11.0, "EN 338"),
    _solid("C30", 12.0, "EN 338"),
    _solid(term("Douglas fir"), 13.44, HANDBOOK_SOLID),
    _solid(term("oak"), 12.27, HANDBOOK_SOLID),
    _solid(term("maple"), 11.31, HANDBOOK_SOLID),
    _solid(term("pine"), 8.2, HANDBOOK_SOLID),
    _solid(term("ash"), 12.0, HANDBOOK_QUOTED),
    _solid(term("beech"), 11.9, HANDBOOK_QUOTED),
    _solid(term("birch"), 11.0, HANDBOOK_QUOTED),
    _solid(term("hemlock"), 11.2, HANDBOOK_QUOTED),
    _solid(term("cherry"), 10.3, HANDBOOK_QUOTED),
    _solid(term("basswood"), 10.1, HANDBOOK_QUOTED, "linden"),
    _solid(term("alder"), 9.5, HANDBOOK_QUOTED),
    _solid(term("spruce"), 9.0, HANDBOOK_QUOTED),
    _solid(term("aspen"), 8.1, HANDBOOK_QUOTED),
)
"""Panels before timber, because a birch plywood is no birch; of several species of a name the least stiff."""
FACINGS = ("veneer", "veneered", "effect", "look", "foil", "laminate", "imitation", "coloured", "colored")
"""What tells that a wood is only the face of a board."""
_WORD = re.compile(r"[^\W_]+")


def board_of(material: str) -> Board | None:
    """Return the material that a person's words name; None where the table has none, or they name only the face of it.

    >>> board_of("White oak, oiled").name, board_of("oak veneer on chipboard").name, board_of("oak veneer")
    ('oak', 'particleboard', None)
    """
    words = " ".join(_WORD.findall(material.casefold()))
    board = next((board for board in BOARDS if any(_is_in(word, words) for word in board.words)), None)
    is_timber = board is not None and board.creep == SOLID_CREEP
    return None if is_timber and any(_is_in(facing, words) for facing in FACINGS) else board


def _is_in(word: str, words: str) -> bool:
    return f" {word} " in f" {words} "
