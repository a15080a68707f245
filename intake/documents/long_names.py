"""The name of an edition on one line: a long one shrinks first, then is cut before the volume that it ends with.

The volumes of a set begin with the same words, so that what is cut off last is what tells them apart.
"""

from intake.documents.text_fit import Fitted, Setter, line_mm

MOST_OF_LINE = 0.6
"""An ending that is longer than this part of the line is cut like any other words."""


def fit_name(name: str, ending: str, width_mm: float, sizes_pt: tuple[float, float], setter: Setter) -> Fitted:
    """Fit a name into one line.

    Args:
        name: the whole of it.
        ending: how it ends where that is to stay, such as its volume; empty for nothing.
        width_mm: of the line.
        sizes_pt: the smallest and the largest size.
        setter: measures it.
    """
    smallest, largest = sizes_pt
    whole = setter.fit(name, width_mm, line_mm(largest), (largest, largest))
    if not whole.cut:
        return whole
    size = max(smallest, min(largest, width_mm / setter.unit(name, bold=False)))
    kept = f" {ending}" if ending and name.endswith(ending) else ""
    kept_mm = setter.unit(kept, bold=False) * size
    if setter.unit(name, bold=False) * size <= width_mm or kept_mm > MOST_OF_LINE * width_mm:
        return setter.fit(name, width_mm, line_mm(size), (size, size))
    title = setter.fit(name.removesuffix(ending).rstrip(" ,"), width_mm - kept_mm, line_mm(size), (size, size))
    return Fitted(tuple(line + kept for line in title.lines[:1]), size, cut=title.cut)
