"""The observation sheet of one step to print: as PDF or as a page."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from kit.basics.errors import UnknownName
from kit.records.reports.observation_sheet_pdf import as_pdf
from kit.records.reports.sheet_content import (
    DECLARATION,
    FORMS,
    OBSERVED,
    OUTCOMES,
    PLAIN_WORDS,
    SUPPORTS,
    ObservationSheet,
    sheet_of,
)

if TYPE_CHECKING:
    from kit.files.kitchen_file import Kitchen
    from kit.rules import Profile


def observation_sheet(
    step: str,
    form: str = "pdf",
    person: str | None = None,
    kitchen: Kitchen | str | None = None,
    *,
    profile: Profile | None = None,
    now: datetime | None = None,
) -> bytes:
    """Return the observation sheet of a step, to print on A4.

    Parameters
    ----------
    step : str
        A step of the work, such as ``cook``.
    form : str
        ``pdf`` or ``html``.
    person : str, optional
        The apprentice's name. Default: a blank to fill in.
    kitchen : Kitchen or str, optional
        The kitchen whose name stands at the head of the sheet, or that name alone.
    profile : Profile, optional
        The rules in force: their limits for this step are printed with their source. Default: those of the
        kitchen, if it is more than a name.
    now : datetime, optional
        When it was made, for the properties of the PDF. Default: the clock.

    Raises
    ------
    UnknownName
        If there is no such step or form.

    Examples
    --------
    >>> observation_sheet("cook")[:5]
    b'%PDF-'
    >>> b"COK-P01" in observation_sheet("cook", "html")
    True
    """
    if form not in FORMS:
        raise UnknownName("form of sheet", form, FORMS)
    name = kitchen if isinstance(kitchen, str) or kitchen is None else kitchen.name
    if profile is None and not (isinstance(kitchen, str) or kitchen is None):
        profile = kitchen.rules()
    sheet = sheet_of(step, person or "", name or "", profile)
    if form == "html":
        return _as_html(sheet).encode("utf-8")
    return as_pdf(sheet, now or datetime.now(UTC))


def _as_html(sheet: ObservationSheet) -> str:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("kit.records.reports", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("sheet.html.j2").render(
        sheet=sheet,
        supports=SUPPORTS,
        outcomes=OUTCOMES,
        declaration=DECLARATION,
        observed=OBSERVED,
        plain_words=PLAIN_WORDS,
    )
