"""Script, style and icons: read once, and served under an address that lasts and one that is asked for again."""

import hashlib
import re
from collections.abc import Mapping
from importlib.resources import files

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

MEDIA_TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".png": "image/png"}
_COMMENT_LINES = re.compile(rb"^[ \t]*//.*\n", re.MULTILINE)
"""Lines of a script that only say something to who reads it: a browser loads them for nothing."""


def read_files() -> Mapping[str, tuple[bytes, str, str]]:
    """Return script, style and icon by name, each with its media type and its ETag."""
    assets: dict[str, tuple[bytes, str, str]] = {}
    for item in files("intake.desk").joinpath("static").iterdir():
        suffix = item.name[item.name.rfind(".") :]
        if suffix in MEDIA_TYPES:
            data = _COMMENT_LINES.sub(b"", item.read_bytes()) if suffix == ".js" else item.read_bytes()
            mark = f'"{hashlib.sha256(data).hexdigest()[:16]}"'
            assets[item.name] = (data, MEDIA_TYPES[suffix], mark)
    return assets


def parts_address(assets: Mapping[str, tuple[bytes, str, str]]) -> str:
    """Return where these files are served for good: another version of any of them has another address."""
    marks = "".join(mark for _, (_, _, mark) in sorted(assets.items()))
    return f"/static/{hashlib.sha256(marks.encode()).hexdigest()[:16]}"


def static(request: Request) -> Response:
    """Return a script, the style or an icon."""
    return _served(request, request.path_params["name"])


def part(request: Request) -> Response:
    """Return the same at the address of its version: a browser that has it asks no more, and a page is seen sooner.

    A page that was opened before the tool was renewed gets the new version, to be asked for each time.
    """
    answer = _served(request, request.path_params["name"])
    if answer.status_code == 200 and request.url.path.startswith(f"{request.app.state.parts}/"):
        answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


def worker(request: Request) -> Response:
    """Return the service worker, at the root, so that it serves every page."""
    return _served(request, "worker.js")


def _served(request: Request, name: str) -> Response:
    asset = request.app.state.static.get(name)
    if asset is None:
        raise HTTPException(404)
    data, media_type, mark = asset
    headers = {"ETag": mark, "Cache-Control": "no-cache"}
    if request.headers.get("if-none-match") == mark:
        return Response(status_code=304, headers=headers)
    return Response(data, media_type=media_type, headers=headers)
