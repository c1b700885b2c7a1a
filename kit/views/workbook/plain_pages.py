"""Pages that are served without the notebook: their headers, their one style, and who may ask for them."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from tornado.httputil import HTTPServerRequest
from tornado.web import HTTPError

from kit.views.workbook.server import LOCAL

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'unsafe-inline'; img-src 'self'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
}


def check_asker(request: HTTPServerRequest, port: int | None) -> None:
    """Refuse a request that came by another name of this machine, or from a page of somebody else.

    Raises
    ------
    HTTPError
        403.
    """
    here = f"{LOCAL}:{port}"
    origin = request.headers.get("Origin", "null")
    if request.host != here or (request.method == "POST" and origin not in ("null", f"http://{here}")):
        raise HTTPError(403)


@cache
def template(name: str) -> Any:
    """Return a page of ``kit/views/front``; it inlines the style that all of them share."""
    from jinja2 import Environment
    from markupsafe import Markup

    front = files("kit.views.front")
    made = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    style = "".join((front / f"{name}.css").read_text(encoding="utf-8") for name in ("tokens", "plain_page"))
    made.globals["style"] = Markup(style)
    return made.from_string((front / name).read_text(encoding="utf-8"))
