"""The desk as an app of a phone: its manifest, its service worker, the page without a connection, a box's list to keep.

Sources: W3C Web Application Manifest; W3C Service Workers.
"""

from dataclasses import asdict

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk.rendering import pages, text_of
from intake.desk.request_state import desk_of
from intake.flow.lookup.resolve import find_box
from intake.flow.unpacking.offline_list import offline_lines

MANIFEST = {
    "name": "Book intake",
    "short_name": "Intake",
    "description": "Unpack, identify, inspect and shelve the books of a household.",
    "id": "/",
    "start_url": "/",
    "scope": "/",
    "display": "standalone",
    "background_color": "#f7f4ec",
    "theme_color": "#0d4f56",
    "icons": [
        {"src": "/static/icon.svg", "sizes": "any", "type": "image/svg+xml"},
        {"src": "/static/icon-192.png", "sizes": "192x192", "type": "image/png"},
        {"src": "/static/icon-512.png", "sizes": "512x512", "type": "image/png"},
        {"src": "/static/icon-full-512.png", "sizes": "512x512", "type": "image/png", "purpose": "maskable"},
    ],
    "shortcuts": [
        {"name": "Unpack", "url": "/"},
        {"name": "Queries", "url": "/pile"},
        {"name": "Catalog", "url": "/catalog"},
    ],
}


def show_manifest(_request: Request) -> Response:
    """Return what a phone needs to know to keep the desk as an app."""
    return JSONResponse(MANIFEST, media_type="application/manifest+json", headers={"Cache-Control": "no-cache"})


def show_offline(_request: Request) -> Response:
    """Return the page that is shown where there is no connection and the one asked for is not kept."""
    return Response(pages.get_template("offline.html").render(), media_type="text/html")


def list_box(request: Request) -> Response:
    """Return what is still in a box, for a station that may lose its connection."""
    with desk_of(request).library.reading() as records:
        box = find_box(records, text_of(request.query_params.get("box", "")))
        lines = offline_lines(records, box.number)
    return JSONResponse({"box": box.number, "lines": [asdict(line) for line in lines]})
