"""Reading label templates: TOML files with the geometry of a sheet or roll and the fields for each use of a label.

Only this module knows where the templates are: `label_templates/` at the top of the project, `_label_templates` beside
the code of an installed package, or a file of the person's own. The geometry is checked: labels inside the paper,
fields inside the label and not overlapping, type and symbols that fit, modules that a cheap printer can print.
"""

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import fields
from enum import StrEnum
from itertools import combinations
from pathlib import Path
from string import Formatter
from typing import Any, TypeVar

from intake.edges.template_places import ROUNDING_MM, is_inside, overlaps
from intake.errors import FileError, UsageError
from intake.model.label_rules import LEAST_MODULE_MM
from intake.model.pages import Align
from intake.model.papers import CONTENT_KEYS, Anchor, LabelField, LabelRule, LabelTemplate, LabelUse, SymbolKind
from intake.units.convert import pt_to_mm

PACKAGE = Path(__file__).parent.parent
FOLDERS = (PACKAGE.parent / "label_templates", PACKAGE / "_label_templates")
SHEET_KEYS = (
    "width_mm",
    "height_mm",
    "left_mm",
    "top_mm",
    "pitch_x_mm",
    "pitch_y_mm",
    "label_width_mm",
    "label_height_mm",
    "columns",
    "rows",
)
ROLL_KEYS = ("width_mm", "length_mm")
OPTIONS = {"guides": False, "continuous": False}
LINE_EM = 1.2
"""Height of one line of type, relative to its size."""
LEAST_MODULES = {SymbolKind.QR: 29, SymbolKind.CODE128: 66, SymbolKind.EAN13: 113}
"""Width with quiet zones of the shortest symbol of each kind: QR version 1, three letters of Code 128, EAN-13."""

Choice = TypeVar("Choice", bound=StrEnum)


def names() -> tuple[str, ...]:
    """Return the names of the templates that come with the tool."""
    return tuple(sorted({path.stem for folder in FOLDERS for path in folder.glob("*.toml")}))


def read(name: str, use: LabelUse) -> LabelTemplate:
    """Read a template for one use.

    Args:
        name: a name from `names`, or the path of a file ending in `.toml`.
        use: the use of the labels.

    Returns:
        The geometry with the fields of that use.

    Raises:
        UsageError: there is no such template, or it has no fields for the use.
        FileError: the file cannot be read, or its geometry cannot be printed.
    """
    path, templates = _all_uses(name)
    if use not in templates:
        has = ", ".join(sorted(templates)) or "nothing"
        raise UsageError(
            f"The template {path.stem}", f"has no fields for '{use}' (it has: {has})", f"add [[{use}.field]] to {path}"
        )
    return templates[use]


def read_sheet(name: str) -> LabelTemplate:
    """Read a template for its sheet or roll, with the fields of whichever use comes first.

    Raises:
        UsageError: there is no such template.
        FileError: the file cannot be read, its geometry cannot be printed, or it has no use.
    """
    path, templates = _all_uses(name)
    if not templates:
        raise FileError(str(path), "has no labels of any use", f"add one of {', '.join(LabelUse)}")
    return next(iter(templates.values()))


def _all_uses(name: str) -> tuple[Path, dict[LabelUse, LabelTemplate]]:
    path = Path(name) if name.endswith(".toml") else _shipped(name)
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise FileError(str(path), f"is not TOML ({error})", "correct it there") from error
    return path, _File(path).templates(data)


def labels_on(name: str) -> tuple[int, int]:
    """Return the columns and the rows of labels on a sheet of a template that comes with the tool; 1, 1 of a roll.

    Raises:
        UsageError: there is no such template.
    """
    _shipped(name)
    template = read_sheet(name)
    return template.columns, template.rows


def _shipped(name: str) -> Path:
    for folder in FOLDERS:
        if (folder / f"{name}.toml").is_file():
            return folder / f"{name}.toml"
    raise UsageError(f"Label template {name!r}", "does not exist", _suggest(name, names(), "choose"))


def _suggest(word: str, known: Iterable[str], verb: str) -> str:
    known = list(known)
    begins = [candidate for candidate in known if candidate and word.startswith(candidate)]
    near = begins or difflib.get_close_matches(word, known, n=1)
    return f"did you mean '{near[0]}'" if near else f"{verb} one of {', '.join(known)}"


class _File:
    """Converts the parsed text of one file to templates, and names the file in every error."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def wrong(self, where: str, why: str, remedy: str) -> FileError:
        return FileError(f"{where} in {self.path}" if where else str(self.path), why, remedy)

    def templates(self, data: Mapping[str, Any]) -> dict[LabelUse, LabelTemplate]:
        self._known("", data, ("sheet", "roll", *LabelUse))
        if ("sheet" in data) == ("roll" in data):
            raise self.wrong("", "must have either [sheet] or [roll]", "keep one of them")
        kind = "sheet" if "sheet" in data else "roll"
        sheet = self._sheet(kind, data[kind])
        templates = {}
        for use in LabelUse:
            if use in data:
                self._known(f"[{use}]", data[use], ("field", "rule"))
                templates[use] = LabelTemplate(
                    **sheet,
                    use=use,
                    fields=tuple(
                        self._field(f"{use} field {n}", raw)
                        for n, raw in enumerate(data[use].get("field", ()), start=1)
                    ),
                    rules=tuple(
                        LabelRule(**self._numbers(f"{use} rule {n}", raw, ("x_mm", "y_mm", "width_mm", "height_mm")))
                        for n, raw in enumerate(data[use].get("rule", ()), start=1)
                    ),
                )
                self._check_face(templates[use])
        return templates

    def _sheet(self, kind: str, raw: Mapping[str, Any]) -> dict[str, Any]:
        where = f"[{kind}]"
        options = {key: raw.get(key, default) for key, default in OPTIONS.items()}
        if not all(isinstance(value, bool) for value in options.values()):
            raise self.wrong(where, "has a switch that is neither true nor false", "write true or false")
        numbers = {key: value for key, value in raw.items() if key not in OPTIONS}
        if kind == "roll":
            roll = self._numbers(where, numbers, ROLL_KEYS)
            width, length = roll["width_mm"], roll["length_mm"]
            values = [width, length, 0.0, 0.0, width, length, width, length, 1, 1]
            numbers = dict(zip(SHEET_KEYS, values, strict=True))
        sheet = self._numbers(where, numbers, SHEET_KEYS)
        self._check_sheet(where, sheet)
        sheet["paper_width_mm"], sheet["paper_height_mm"] = sheet.pop("width_mm"), sheet.pop("height_mm")
        counts = {key: int(sheet.pop(key)) for key in ("columns", "rows")}
        return {"name": self.path.stem, **sheet, **counts, **options}

    def _check_sheet(self, where: str, sheet: Mapping[str, float]) -> None:
        for across, paper, count, pitch, label, margin in (
            ("width", "width_mm", "columns", "pitch_x_mm", "label_width_mm", "left_mm"),
            ("height", "height_mm", "rows", "pitch_y_mm", "label_height_mm", "top_mm"),
        ):
            if sheet[count] < 1 or sheet[count] != int(sheet[count]) or sheet[label] <= 0:
                raise self.wrong(where, f"has no usable {count} or {label}", "give whole counts and a real size")
            if sheet[count] > 1 and sheet[pitch] < sheet[label] - ROUNDING_MM:
                raise self.wrong(where, f"has labels that overlap ({pitch} below {label})", f"give a larger {pitch}")
            end = sheet[margin] + (sheet[count] - 1) * sheet[pitch] + sheet[label]
            if sheet[margin] < 0 or end > sheet[paper] + ROUNDING_MM:
                raise self.wrong(
                    where,
                    f"has labels that reach {end:g} mm on paper of {sheet[paper]:g} mm {across}",
                    f"give fewer {count}, or a smaller {margin}, {pitch} or {label}",
                )

    def _field(self, where: str, raw: Mapping[str, Any]) -> LabelField:
        self._known(where, raw, [field.name for field in fields(LabelField)])
        numbers = ("x_mm", "y_mm", "width_mm", "height_mm")
        values: dict[str, Any] = self._numbers(where, {key: raw[key] for key in numbers if key in raw}, numbers)
        if not isinstance(raw.get("text"), str):
            raise self.wrong(where, "has no text", 'add text = "{number}"')
        self._check_text(where, raw["text"])
        for key in ("size_pt", "module_mm"):
            if key in raw:
                values[key] = self._span(where, key, raw[key])
        for key, choice in (("align", Align), ("anchor", Anchor), ("symbol", SymbolKind)):
            if key in raw:
                values[key] = self._choice(where, key, raw[key], choice)
        if "symbol" in values:
            self._check_module(where, values)
        return LabelField(text=raw["text"], bold=raw.get("bold", False) is True, **values)

    def _check_module(self, where: str, values: dict[str, Any]) -> None:
        """Refuse modules that a cheap printer's print does not hold; where none are given, take the least and more."""
        kind, least = values["symbol"], LEAST_MODULE_MM[values["symbol"]]
        smallest, largest = values.setdefault("module_mm", (least, 2 * least))
        if smallest < least:
            raise self.wrong(
                where,
                f"allows modules of {smallest:g} mm, too small to be read from the print of a cheap printer",
                f"write module_mm = [{least:g}, {max(least, largest):g}]; {least:g} is the least for {kind}",
            )

    def _check_text(self, where: str, text: str) -> None:
        try:
            keys = [key for _, key, _, _ in Formatter().parse(text) if key is not None]
        except ValueError as error:
            raise self.wrong(where, f"has braces that do not pair ({error})", "write {key}") from error
        for key in keys:
            if key not in CONTENT_KEYS:
                raise self.wrong(
                    where, f"uses '{key}', which is not a content of labels", _suggest(key, CONTENT_KEYS, "use")
                )

    def _span(self, where: str, key: str, value: Any) -> tuple[float, float]:
        pair: list[Any] = value if isinstance(value, list) else [value, value]
        if len(pair) != 2 or not all(_is_number(number) for number in pair) or not 0 < pair[0] <= pair[1]:
            raise self.wrong(where, f"has a {key} that is not a range", f"write {key} = [smallest, largest]")
        return float(pair[0]), float(pair[1])

    def _choice(self, where: str, key: str, value: object, choice: type[Choice]) -> Choice:
        try:
            return choice(str(value))
        except ValueError as error:
            raise self.wrong(where, f"has the {key} '{value}'", _suggest(str(value), list(choice), "use")) from error

    def _known(self, where: str, raw: object, known: Iterable[str]) -> None:
        if not isinstance(raw, Mapping):
            raise self.wrong(where, "is not a table", "write it as [name] with keys below")
        for key in raw:
            if key not in list(known):
                raise self.wrong(f"{where} key '{key}'".strip(), "is unknown", _suggest(key, known, "use"))

    def _numbers(self, where: str, raw: Mapping[str, Any], keys: tuple[str, ...]) -> dict[str, float]:
        self._known(where, raw, keys)
        for key in keys:
            if key not in raw:
                raise self.wrong(where, f"has no {key}", f"add {key} = …")
            if not _is_number(raw[key]):
                raise self.wrong(where, f"has a {key} that is not a number", f"write {key} = 12.5")
        return {key: float(raw[key]) for key in keys}

    def _check_face(self, template: LabelTemplate) -> None:
        if not template.fields:
            raise self.wrong(f"[{template.use}]", "has no fields", f"add [[{template.use}.field]]")
        named = [
            (f"{template.use} field {n} ({field.text})", field) for n, field in enumerate(template.fields, start=1)
        ]
        for where, field in named:
            self._check_place(where, field, template)
        for (first, a), (second, b) in combinations(named, 2):
            if overlaps(a, b):
                raise self.wrong(first, f"overlaps {second}", "move one of them or make it smaller")
        for n, rule in enumerate(template.rules, start=1):
            if not is_inside(rule, template):
                raise self.wrong(f"{template.use} rule {n}", "leaves the label", "make it shorter")

    def _check_place(self, where: str, field: LabelField, template: LabelTemplate) -> None:
        if not is_inside(field, template):
            size = f"{template.label_width_mm:g} x {template.label_height_mm:g} mm"
            raise self.wrong(where, f"leaves the label of {size}", "move it or make it smaller")
        if field.symbol is None:
            if field.height_mm < pt_to_mm(field.size_pt[0]) * LINE_EM - ROUNDING_MM:
                raise self.wrong(where, "is lower than one line of its smallest type", "change height_mm or size_pt")
            return
        least = LEAST_MODULES[field.symbol] * field.module_mm[0]
        if field.width_mm < least - ROUNDING_MM or (
            field.symbol is SymbolKind.QR and field.height_mm < least - ROUNDING_MM
        ):
            raise self.wrong(where, f"is too small for its symbol, which needs {least:.1f} mm", "give a larger field")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
