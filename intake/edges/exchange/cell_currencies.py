"""The currencies that the cells of a workbook are formatted in, which the library that reads workbooks does not tell.

Read from the parts of the file itself, element by element, after they were looked through (`workbook_guard`): of XLSX
the number format of each cell (ECMA-376-1, 18.3.1.4, 18.8.10 and 18.8.31), of ODS its currency (OpenDocument 1.3 part
3, 19.367). XLS files are not looked into. Nothing is read where no format of the file shows a currency.
"""

import re
import zipfile
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import IO

from lxml import etree

from intake.edges.exchange.number_formats import currency_sign
from intake.edges.exchange.safe_xml import forget, parsed
from intake.edges.exchange.table_cells import TableKind, column_place
from intake.edges.exchange.workbook_guard import sheet_part
from intake.model.currencies import currency_codes
from intake.units.written_currencies import currency_of

MOST_COLUMNS = 16_384
STYLES, CONTENT = "xl/styles.xml", "content.xml"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_NAME = re.compile(r"([A-Z]+)([0-9]+)")


class CellCurrencies:
    """The currency or shared sign of each cell that has one, by row and place; in little memory, as runs of rows."""

    def __init__(self) -> None:
        self._starts: dict[int, list[int]] = {}
        self._signs: dict[int, list[str]] = {}

    def add(self, row: int, place: int, sign: str) -> None:
        """Note a cell that has a value, row by row; '' for one without a currency."""
        signs = self._signs.setdefault(place, [])
        if (signs[-1] if signs else "") != sign:
            self._starts.setdefault(place, []).append(row)
            signs.append(sign)

    def of_row(self, row: int) -> Mapping[int, str]:
        """Return the currencies of the cells of a row that have a value, by place from 0."""
        found: dict[int, str] = {}
        for place, starts in self._starts.items():
            at = bisect_right(starts, row)
            if at and (sign := self._signs[place][at - 1]):
                found[place] = sign
        return found


def cell_currencies(path: Path, kind: TableKind, sheet: str) -> CellCurrencies:
    """Return the currencies of the cells of a sheet; none of them where the file does not tell.

    Args:
        path: the workbook, looked through beforehand.
        kind: its form.
        sheet: the name of the sheet.
    """
    found = CellCurrencies()
    if kind is TableKind.XLS:
        return found
    try:
        with zipfile.ZipFile(path) as archive:
            if kind is TableKind.ODS:
                _read_ods(archive, sheet, found)
            else:
                _read_xlsx(archive, sheet_part(path, sheet), found)
    except (etree.XMLSyntaxError, KeyError, ValueError, zipfile.BadZipFile):
        return CellCurrencies()  # the values are read all the same, and an amount without a currency is refused
    return found


def _read_xlsx(archive: zipfile.ZipFile, part: str, found: CellCurrencies) -> None:
    with archive.open(STYLES) as file:
        signs = _signs_of_styles(file)
    if not any(signs):
        return
    row = place = 0
    with archive.open(part) as file:
        for event, element in parsed(file, ("{*}row", "{*}c"), ("start", "end")):
            is_row = etree.QName(element).localname == "row"
            if event == "start":
                row, place = (int(element.get("r", row + 1)), -1) if is_row else (row, place)
            elif is_row:
                forget(element)
            else:
                name = _NAME.fullmatch(element.get("r", ""))
                place = column_place(name[1]) if name else place + 1
                style = int(element.get("s", 0))
                if len(element):
                    found.add(row, place, signs[style] if style < len(signs) else "")


def _signs_of_styles(file: IO[bytes]) -> Sequence[str]:
    """Return what each style of cells shows beside an amount."""
    codes: dict[str, str] = {}
    styles: list[str] = []
    for _, element in parsed(file, ("{*}numFmt", "{*}xf")):
        parent = element.getparent()
        if etree.QName(element).localname == "numFmt":
            codes[element.get("numFmtId", "")] = element.get("formatCode", "")
        elif parent is not None and etree.QName(parent).localname == "cellXfs":
            styles.append(element.get("numFmtId", ""))
    # The formats 5 to 8 and 41 to 44, which the file does not write out, show the currency of whoever opens it.
    return [currency_sign(codes.get(number, "")) for number in styles]


def _read_ods(archive: zipfile.ZipFile, sheet: str, found: CellCurrencies) -> None:
    tags = (f"{_TABLE}table", f"{_TABLE}table-row", f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")
    inside, row, rows, place = False, 1, 0, 0
    with archive.open(CONTENT) as file:
        for event, element in parsed(file, tags, ("start", "end")):
            if element.tag == tags[0]:
                inside = event == "start" and element.get(f"{_TABLE}name") == sheet
            elif element.tag == tags[1]:
                if event == "end":
                    forget(element)
                elif inside:
                    row, place = row + rows, 0
                    rows = int(element.get(f"{_TABLE}number-rows-repeated", 1))
            elif event == "start" and inside:
                count = int(element.get(f"{_TABLE}number-columns-repeated", 1))
                if element.get(f"{_OFFICE}value-type"):
                    sign = _ods_sign(element.get(f"{_OFFICE}currency", ""))
                    for nth in range(min(count, MOST_COLUMNS)):
                        found.add(row, place + nth, sign)
                place += count


def _ods_sign(text: str) -> str:
    code = currency_of(text)
    return code if code in currency_codes() else text.strip()
