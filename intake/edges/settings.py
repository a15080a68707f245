"""The settings: the library folder and the name of this station."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

LIBRARY_VARIABLE = "INTAKE_LIBRARY"
STATION_VARIABLE = "INTAKE_STATION"


@dataclass(frozen=True, slots=True)
class Settings:
    """Read once where a command starts, then passed on as plain values.

    Attributes:
        library: the folder of the database, the pictures and the backups.
        station: the name of this phone, desk or command line in the ledger.
    """

    library: Path
    station: str = "cli"


def read(library: Path | None = None, environment: Mapping[str, str] | None = None) -> Settings:
    """Read the settings: the folder from the command line, else the environment, else the user's data folder."""
    names = os.environ if environment is None else environment
    named = names.get(LIBRARY_VARIABLE)
    folder = library or (Path(named) if named else user_data_path("intake") / "library")
    return Settings(library=folder, station=names.get(STATION_VARIABLE) or "cli")
