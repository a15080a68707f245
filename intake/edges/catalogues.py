"""The catalogues of gettext that come with the tool: one file of translations for each language.

A file is named by the tag of its language (BCP 47), and is read as its translators write it: nothing is compiled first.
"""

import gettext
from functools import lru_cache
from importlib import resources
from io import BytesIO

from intake.units.language import Language

ENGLISH = "en"
"""The language of the messages themselves."""
FOLDER = resources.files("intake") / "languages"


@lru_cache
def languages() -> tuple[str, ...]:
    """Return the tags of the languages there are, English first."""
    names = (entry.name for entry in FOLDER.iterdir())
    return (ENGLISH, *sorted(name.removesuffix(".po") for name in names if name.endswith(".po")))


@lru_cache
def find_language(tag: str) -> Language | None:
    """Return a language with its translations; None for English, which needs none.

    Args:
        tag: one of `languages`.
    """
    if tag == ENGLISH:
        return None
    from babel.messages.mofile import write_mo  # noqa: PLC0415 - they take a tenth of a second, and English needs them not
    from babel.messages.pofile import read_po  # noqa: PLC0415 - as above

    with (FOLDER / f"{tag}.po").open("rb") as file:
        catalog = read_po(file, locale=tag.replace("-", "_"))
    compiled = BytesIO()
    write_mo(compiled, catalog)
    compiled.seek(0)
    return Language(tag, gettext.GNUTranslations(compiled))
