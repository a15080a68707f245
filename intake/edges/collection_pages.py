"""The collection as a book, as a folder of web pages: they need no server, no script and nothing from the network."""

from collections.abc import Mapping

from jinja2 import Environment, PackageLoader, StrictUndefined

from intake.model.catalogues import CollectionCatalogue

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
    files = {START: _page("start.html", book=catalogue, groups=groups, page_of=page_of), "style.css": _style()}
    for nth, (name, heading, entries) in enumerate(groups):
        around = (groups[nth - 1] if nth else None, groups[nth + 1] if nth + 1 < len(groups) else None)
        files[name] = _page("group.html", book=catalogue, heading=heading, entries=entries, around=around)
        for entry in entries:
            if entry.cover is not None and entry.cover.data is not None:
                files[f"covers/{entry.number}.jpg"] = entry.cover.data
    return files


def _page(template: str, /, **values: object) -> bytes:
    return _pages.get_template(template).render(start=START, **values).encode()


def _style() -> bytes:
    return _pages.get_template("style.css").render().encode()
