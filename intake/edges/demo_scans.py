"""The scans of the demonstration: their folder and its layout."""

from pathlib import Path

from intake.errors import FileError

HERE = Path(__file__).parent
INSTALLED = HERE.parent / "_demo_scans"
IN_CHECKOUT = HERE.parent.parent / "demo_scans"
PHOTOGRAPHS = "photographs"


def folder(named: Path | None) -> Path:
    """Return the folder of scans: the one given, else the one that comes with the tool.

    Raises:
        FileError: there is none, or it contains no catalog.
    """
    for candidate in (named,) if named else (IN_CHECKOUT, INSTALLED):
        if (candidate / "catalog.csv").is_file():
            return candidate
    remedy = "give the folder that contains catalog.csv and photographs"
    raise FileError(f"Folder {named or 'demo_scans'}", "contains no demonstration", remedy)


def boxes(scans: Path) -> list[str]:
    """Return the serial numbers of the boxes that were photographed, in order."""
    serials = [int(path.name.removeprefix("box-")) for path in (scans / PHOTOGRAPHS).glob("box-*")]
    return [str(serial) for serial in sorted(serials)]


def box_folder(scans: Path, serial: int) -> Path:
    """Return the folder of photographs of one box."""
    return scans / PHOTOGRAPHS / f"box-{serial}"


def at_packing(scans: Path) -> list[Path]:
    """Return the pictures that were taken at packing, each named by the copy it shows."""
    return sorted((scans / PHOTOGRAPHS / "packing").glob("*.jpg"))


def opened(scans: Path, serial: int) -> Path | None:
    """Return the picture that shows many books of one box at once, if one was taken."""
    picture = scans / PHOTOGRAPHS / "opened" / f"{serial}.jpg"
    return picture if picture.is_file() else None


def typed(scans: Path, serial: int) -> list[str]:
    """Return the lines that the person typed for one box, for books without a symbol."""
    file = box_folder(scans, serial) / "typed.txt"
    if not file.exists():
        return []
    return [line.strip() for line in file.read_text(encoding="utf-8").splitlines() if line.strip()]
