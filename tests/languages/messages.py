"""The messages of the papers, as the program's text has them, and the catalogues of their translations.

    python -m tests.languages.messages

renews the template `intake/languages/papers.pot` and brings every catalogue beside it up to date: messages that are new
wait there for a translation, those that are gone are dropped.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from enum import Enum, auto
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "intake" / "languages"
TEMPLATE = FOLDER / "papers.pot"


class Holds(Enum):
    """What the literals are that a function is called with."""

    ONE = auto()
    PLURAL = auto()
    CONTEXT = auto()


MESSAGES_IN = {
    **dict.fromkeys(("say", "term", "TableColumn"), Holds.ONE),
    **dict.fromkeys(("say_of", "terms", "counted", "noun"), Holds.PLURAL),
    "say_as": Holds.CONTEXT,
}
"""The functions whose literals are messages; see `intake/units/language.py`."""
OTHER_SURFACES = ("cli", "desk")
"""No paper is worded there."""


def messages() -> Catalog:
    """Return every message that a paper may say, without translations."""
    catalog = Catalog(project="intake", version="1", charset="utf-8", copyright_holder="its authors")
    for path in sorted((ROOT / "intake").rglob("*.py")):
        if path.relative_to(ROOT / "intake").parts[0] not in OTHER_SURFACES:
            for message, context in literal_messages(path.read_text(encoding="utf-8")):
                catalog.add(message, context=context)
    for text in template_texts():
        catalog.add(text)
    return catalog


def literal_messages(code: str) -> Iterator[tuple[str | tuple[str, str], str | None]]:
    """Yield the messages in a module, each with its context.

    Babel's own extractor reads tokens, and takes a variable that is named like one of the functions for a call of it.
    """
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in MESSAGES_IN:
            literals = [one.value for one in node.args if isinstance(one, ast.Constant) and isinstance(one.value, str)]
            match MESSAGES_IN[node.func.id], literals:
                case Holds.ONE, [message, *_] if message:
                    contexts = [one.value for one in node.keywords if one.arg == "context"]
                    yield message, next((str(one.value) for one in contexts if isinstance(one, ast.Constant)), None)
                case Holds.PLURAL, [one, several]:
                    yield (one, several), None
                case Holds.CONTEXT, [context, message]:
                    yield message, context


def template_texts() -> Iterator[str]:
    """Yield the texts of the label templates that have words of their own."""
    for path in sorted((ROOT / "label_templates").glob("*.toml")):
        for fields in _lists_of_fields(tomllib.loads(path.read_text(encoding="utf-8"))):
            for field in fields:
                if re.search(r"[^\W\d_]", re.sub(r"\{\w+\}", "", field["text"])):
                    yield field["text"]


def _lists_of_fields(table: dict[str, object]) -> Iterator[list[dict[str, str]]]:
    for value in table.values():
        if isinstance(value, dict):
            yield from _lists_of_fields(value)
        elif isinstance(value, list) and value and isinstance(value[0], dict) and "text" in value[0]:
            yield value


def read_catalogue(path: Path) -> Catalog:
    """Read a catalogue as its translators wrote it."""
    with path.open("rb") as file:
        return read_po(file, locale=path.stem.replace("-", "_") if path.suffix == ".po" else None)


def renew() -> None:
    """Write the template, and bring the catalogues up to date."""
    template = messages()
    _write(template, TEMPLATE)
    for path in sorted(FOLDER.glob("*.po")):
        catalog = read_catalogue(path)
        catalog.update(template, no_fuzzy_matching=True)
        catalog.obsolete.clear()
        _write(catalog, path)


def _write(catalog: Catalog, path: Path) -> None:
    with path.open("wb") as file:
        write_po(file, catalog, width=100, no_location=True, omit_header=False, sort_output=True)


if __name__ == "__main__":
    renew()
