"""Python's collector of cycles, paused while something is made that has none."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def paused() -> Iterator[None]:
    """Leave cycles where they are meanwhile, and collect again afterwards if that was done before.

    A long paper makes hundreds of thousands of glyphs and marks that refer to no other in a circle; looking through
    them again and again took a fifth of the time.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()
