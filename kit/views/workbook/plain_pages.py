"""Pages served without the notebook: headers, their one style, their language, and who may ask for them."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from tornado.httputil import HTTPServerRequest
from tornado.web import HTTPError, RequestHandler

from kit.languages import ENGLISH, Language, codes, load
from kit.views.workbook.page_language import checked_words
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


COOKIE = "kit_page_language"


def spoken_on(page: RequestHandler, own: str = "") -> Language:
    """Return the language of a page: picked on it, else that of whoever it is about, else the browser's.

    Parameters
    ----------
    page : RequestHandler
        The page that is asked for. What was picked is kept in the browser.
    own : str
        The code of the language that somebody reads in, if one is known.
    """
    picked = page.get_query_argument("language", "")
    if picked in codes():
        page.set_cookie(COOKIE, picked, httponly=True, samesite="Strict", path="/")
    asked = page.request.headers.get("Accept-Language", "").split(",")
    said = [
        picked,
        own,
        page.get_cookie(COOKIE, ""),
        *(one.split(";")[0].strip()[:2].lower() for one in asked),
    ]
    return load(next((code for code in said if code in codes()), ENGLISH.code))


def language_values(language: Language) -> dict[str, Any]:
    """Return what a page needs to be in a language: how it says a text, and the choice of another.

    Examples
    --------
    >>> values = language_values(load("pl"))
    >>> values["say"]("Your PIN"), values["code"], values["languages"][0]
    ('Twój PIN', 'pl', ('en', 'English'))
    """
    return {
        "say": language.say,
        "code": language.code,
        "languages": [(code, load(code).name) for code in codes()],
        "checked": "" if language.code == ENGLISH.code else checked_words(language, None),
    }


@cache
def template(name: str) -> Any:
    """Return a page of ``kit/views/front``; it inlines the style that all of them share."""
    from jinja2 import Environment
    from markupsafe import Markup

    front = files("kit.views.front")
    made = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    style = "".join((front / f"{name}.css").read_text(encoding="utf-8") for name in ("tokens", "plain_page"))
    made.globals |= {"style": Markup(style), **language_values(ENGLISH)}
    return made.from_string((front / name).read_text(encoding="utf-8"))
