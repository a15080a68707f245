"""What holds for every label: the least modules of symbols, the height of figures, and what is never cut."""

from intake.model.papers import SymbolKind

LEAST_MODULE_MM = {SymbolKind.QR: 0.5, SymbolKind.CODE128: 0.375, SymbolKind.EAN13: 0.42}
"""The smallest modules that a phone still reads after a cheap label printer: measured with the model of one that the
tests keep (`tests/cheap_printer.py`). They are 4 and 3 dots of 203 dpi, and 127 % of the
nominal size of EAN-13 (GS1 General Specifications: 0.330 mm, 80 to 200 %)."""
VIEWED_FIGURE_MM = 10.0
"""Height of figures that are read from 2 m: a two-hundredth of the distance (rule of thumb, from memory)."""
NEVER_CUT = frozenset(("number", "box"))
"""Contents by which a label is told from any other: one that has no room for them is not printed."""
KEPT_AT_END = frozenset(("shelfmark", "room", "place", "volume"))
"""Contents whose last words tell two labels apart ("Roof room · 2"): they are shortened from the front."""
