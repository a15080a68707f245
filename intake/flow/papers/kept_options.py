"""The options of a paper where nothing is chosen: its own, with what is kept once in the settings of the library."""

from typing import Any

from intake.edges import settings
from intake.edges.store.library import Library
from intake.flow.papers.option_fields import SIZE
from intake.flow.papers.options import PaperOptions, with_typed
from intake.flow.papers.paper import Paper


def usual_options(library: Library, paper: Paper[Any]) -> PaperOptions:
    """Return the options of a paper where nothing is chosen.

    Owner, address, language and size of the paper are those of the library's settings, where these have them and the
    paper heeds them; the size that the environment names comes before that of the settings.

    Raises:
        FileError: the settings cannot be read.
        UsageError: they have a language or a size that is not offered.
    """
    kept = dict(settings.paper_settings(library.folder))
    size = kept.pop("paper", "").strip().casefold()
    if size and not settings.paper_size():
        kept[SIZE.name] = size
    return with_typed(paper.defaults, paper.options, kept)
