"""The settings: the library folder, the name of this station, and what is written in `settings.toml` in the folder."""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_cache_path, user_data_path

from intake.edges.server_address import LibraryPlace, folder_of, place_of
from intake.errors import FileError

LIBRARY_VARIABLE = "INTAKE_LIBRARY"
STATION_VARIABLE = "INTAKE_STATION"
PAPER_VARIABLE = "INTAKE_PAPER"
SETTINGS_FILE = "settings.toml"


@dataclass(frozen=True, slots=True)
class Settings:
    """Read once where a command starts, then passed on as plain values.

    Attributes:
        library: the folder of the database, the pictures and the backups; or the URL of a database on a server.
        station: the name of this phone, desk or command line in the ledger.
    """

    library: LibraryPlace
    station: str = "cli"

    @property
    def folder(self) -> Path:
        """Return the folder with the settings, backups and logs of the library on this machine."""
        return folder_of(self.library)


def read(library: str = "", environment: Mapping[str, str] | None = None) -> Settings:
    """Read the settings: the library from the command line, else the environment, else the user's data folder."""
    names = os.environ if environment is None else environment
    named = library or names.get(LIBRARY_VARIABLE)
    place = place_of(named) if named else user_data_path("intake") / "library"
    return Settings(library=place, station=names.get(STATION_VARIABLE) or "cli")


def paper_size(environment: Mapping[str, str] | None = None) -> str:
    """Return the size of paper that this machine's printer has, as its user names it; empty where nothing is said."""
    names = os.environ if environment is None else environment
    return names.get(PAPER_VARIABLE, "").strip().casefold()


def lookup_urls(library: LibraryPlace) -> tuple[str, ...]:
    """Return the addresses of the libraries' servers to ask, in their order; none unless a person set some.

    They are the list `urls` under `[lookup]` in the file `settings.toml` in the library's folder; of one
    on a server, in the folder that this user has for it.

    Raises:
        FileError: the file cannot be read, or the setting is not a list of addresses.
    """
    remedy = 'write it as [lookup] and below it urls = ["https://host/path"]'
    path, lookup = _kept(library, "lookup", remedy)
    urls = lookup.get("urls", []) if isinstance(lookup, dict) else None
    if not isinstance(urls, list) or not all(isinstance(url, str) for url in urls):
        raise FileError(str(path), "has a setting lookup.urls that is not a list of addresses", remedy)
    return tuple(urls)


PAPER_SETTINGS = ("owner", "address", "language", "paper")


def paper_settings(library: LibraryPlace) -> Mapping[str, str]:
    """Return what papers say where nothing else is chosen, by `PAPER_SETTINGS`; only what a person set.

    It stands under `[papers]` in the file `settings.toml`, see `lookup_urls`.

    Raises:
        FileError: the file cannot be read, or has another setting there, or one that is no text.
    """
    remedy = f'write [papers] and below it lines such as owner = "…"; there are {", ".join(PAPER_SETTINGS)}'
    path, papers = _kept(library, "papers", remedy)
    if not isinstance(papers, dict):
        raise FileError(str(path), "has a setting papers that is not a table", remedy)
    for name, value in papers.items():
        if name not in PAPER_SETTINGS or not isinstance(value, str):
            raise FileError(str(path), f"has a setting papers.{name} that is unknown, or no text", remedy)
    return papers


def _kept(library: LibraryPlace, table: str, remedy: str) -> tuple[Path, object]:
    """Return the path of the file of settings, and one of its tables; an empty one where there is none."""
    path = folder_of(library) / SETTINGS_FILE
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return path, {}
    except OSError as error:
        raise FileError(str(path), f"cannot be read ({error.strerror})", "check that you may read it") from error
    except ValueError as error:
        raise FileError(str(path), f"is not a file of settings ({error})", remedy) from error
    return path, values.get(table, {})


def lookup_cache() -> Path:
    """Return the folder in which what servers answered is kept for a day."""
    return user_cache_path("intake") / "lookups"
