"""The collection as a book, as a folder of web pages: they need no server, no script and nothing from the network."""

from collections.abc import Mapping

from jinja2 import Environment, PackageLoader, StrictUndefined

from intake.model.catalogues import CollectionCatalogue
from intake.units.language import say, spoken
from intake.units.local_forms import day_text

START = "index.html"
_pages = Environment(
    loader=PackageLoader("intake.edges", "site"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def web_pages(catalogue: CollectionCatalogue) -> Mapping[str, bytes]:
    """Return the files of the folder: a page to start from, with the indexes; one of each group; the covers; the style.

    Args:
        catalogue: finished texts.
    """
    groups = [(f"group-{nth}.html", heading, entries) for nth, (heading, entries) in enumerate(catalogue.groups, 1)]
    page_of = {entry.number: name for name, _, entries in groups for entry in entries}
    files = {
        START: _page("start.html", book=catalogue, groups=groups, page_of=page_of, day=day_text(catalogue.on)),
        "style.css": _style(),
    }
    for nth, (name, heading, entries) in enumerate(groups):
        around = (groups[nth - 1] if nth else None, groups[nth + 1] if nth + 1 < len(groups) else None)
        files[name] = _page(
            "group.html", book=catalogue, heading=heading, entries=entries, around=around, not_shown=_not_shown
        )
        for entry in entries:
            if entry.cover is not None and entry.cover.data is not None:
                files[f"covers/{entry.number}.jpg"] = entry.cover.data
    return files


def _page(template: str, /, **values: object) -> bytes:
    return _pages.get_template(template).render(start=START, language=_tag(), words=_words(), **values).encode()


def _tag() -> str:
    language = spoken()
    return "en" if language is None else language.tag


def _words() -> Mapping[str, str]:
    """Return what the pages say of themselves."""
    return {
        "book": say("The book"),
        "contents": say("Contents"),
        "picture": say("The first picture of this copy"),
        "start": say("Contents and index"),
        "why": say("Why it is kept:"),
    }


def _not_shown(why: str) -> str:
    return say("Its picture is not shown: {why}", why=why)


def _style() -> bytes:
    return _pages.get_template("style.css").render().encode()
