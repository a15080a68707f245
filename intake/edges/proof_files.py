"""Reading the text of a proof from a PDF, workbook or CSV file written by this tool, or from a picture of its symbol.

A PDF has it as its subject and as its description (XMP), a workbook as its comments (and on a sheet), a CSV file in its
last column. A picture is searched for QR symbols. Another program that saves a file again may drop the text; the symbol
on paper remains.
"""

import html
import re
import zipfile
from pathlib import Path

import zxingcpp

from intake.edges import pictures, sheets
from intake.edges.decoder_faults import refusing
from intake.errors import FileError
from intake.units.advice import worded

XMP_DESCRIPTION = re.compile(rb"<dc:description\b[^>]*><rdf:Alt><rdf:li[^>]*>([^<]*)</rdf:li>")
PDF_SUBJECT = re.compile(rb"/Subject \(((?:[^\\()]|\\.)*)\)", re.DOTALL)
DESCRIPTION = re.compile(r"<dc:description>(.*?)</dc:description>", re.DOTALL)
LARGEST_PART = 10_000_000
REMEDY = (
    "give the file as it was written, a picture of its symbol, or the text of the proof with --text",
    "choose the file as it was written, a picture of its symbol, or type the text of the proof",
)


def read_texts(path: Path) -> tuple[str, ...]:
    """Return the texts of a file that may be a proof.

    Raises:
        FileError: the file cannot be read.
    """
    suffix = path.suffix.casefold()
    if suffix in pictures.SUFFIXES:
        return _picture(path)
    try:
        if suffix == ".csv":
            return tuple(cell for row in sheets.read_csv(path).rows for cell in list(row.cells.values())[-1:] if cell)
        return _workbook(path) if suffix == ".xlsx" else _pdf(path.read_bytes())
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check the path") from error


def _pdf(data: bytes) -> tuple[str, ...]:
    plain = (re.sub(rb"\\([\\()])", rb"\1", subject) for subject in PDF_SUBJECT.findall(data))
    described = (html.unescape(text.decode("utf-8", "ignore")) for text in XMP_DESCRIPTION.findall(data))
    return (*(text.decode("latin-1") for text in plain), *described, data[:LARGEST_PART].decode("utf-8", "ignore"))


def _workbook(path: Path) -> tuple[str, ...]:
    try:
        with zipfile.ZipFile(path) as book:
            part = book.getinfo("docProps/core.xml")
            if part.file_size > LARGEST_PART:
                return ()
            text = book.read(part).decode("utf-8", "replace")
    except (zipfile.BadZipFile, KeyError) as error:
        raise FileError(str(path), "cannot be opened as a workbook", REMEDY) from error
    return tuple(html.unescape(description) for description in DESCRIPTION.findall(text))


def _picture(path: Path) -> tuple[str, ...]:
    grey = pictures.load(path).grey
    formats = zxingcpp.barcode_formats_from_str("QRCode")
    with refusing(str(path), "cannot be searched for a symbol", worded(REMEDY)):
        return tuple(symbol.text for symbol in zxingcpp.read_barcodes(grey, formats=formats))
