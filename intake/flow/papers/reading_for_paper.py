"""A library read for a paper."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from intake.edges import catalogues
from intake.edges.store.library import Library
from intake.edges.store.reader import LibraryReader
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.paper import Paper
from intake.flow.safekeeping.before_papers import refuse_not_whole
from intake.units.language import speaking


@contextmanager
def reading_for(library: Library, paper: Paper[Any], options: PaperOptions) -> Iterator[LibraryReader]:
    """Read a library at one moment, in the language of a paper.

    Raises:
        StoreError: the library is not as its ledger left it, and others act on the paper.
    """
    with library.reading(noted=paper.is_acted_on) as reader, speaking(catalogues.find_language(options.language)):
        if paper.is_acted_on:
            refuse_not_whole(library, reader)
        yield reader
