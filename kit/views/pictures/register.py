"""What an explorer and a picture are, and the register that finds them by name. No widgets here.

An explorer is its controls and one pure function from settings to a `Drawing`; a picture is one pure
function from data to a `Drawing`. Both are declared with a decorator in a module of
``kit/views/explorers`` or ``kit/views/pictures`` and load when somebody first asks for them.
"""

from __future__ import annotations

import base64
import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kit.basics.errors import BadData, OutOfRange, UnknownName

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from kit.rules import Profile

    OwnLines = Callable[[Mapping[str, Any], Profile], tuple[str, ...]]


@dataclass(frozen=True)
class Drawing:
    """What a picture or an explorer shows.

    Parameters
    ----------
    figure : Figure or str
        A ``matplotlib.figure.Figure`` (see `ink.sheet`), or a whole ``<svg viewBox=...>`` element.
    text : str
        The same in words, made from the same numbers. In a question it never gives the answer away.
    facts : tuple of str
        A few short lines to read beside the picture, digits with units: "Core after 60 min: 58.4 °C".
    """

    figure: Figure | str
    text: str
    facts: tuple[str, ...] = ()

    def _repr_mimebundle_(self, **_: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        """Show the picture in a notebook, with its words for whoever does not see it."""
        from kit.views.pictures import ink

        if isinstance(self.figure, str):
            return {"image/svg+xml": self.figure, "text/plain": self.text}, {}
        picture = base64.b64encode(ink.png(self.figure)).decode()
        return {"image/png": picture, "text/plain": self.text}, {"image/png": {"alt": self.text}}


@dataclass(frozen=True)
class Slider:
    """A number to set by slider, with its unit, range, step and where it starts.

    A time that ``plays`` can run by itself, so that a map is seen to change.

    Examples
    --------
    >>> Slider("cabinet_c", "Cabinet temperature", "°C", 60, 95, 1, 80).settle("72")
    72.0
    """

    key: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    start: float
    plays: bool = False

    def __post_init__(self) -> None:
        if not self.low <= self.start <= self.high:
            raise OutOfRange(f"start of {self.key}", self.start, f"from {self.low:g} to {self.high:g}")

    def settle(self, value: Any) -> float:
        """Return ``value`` as a number inside the range. A page can send anything; a curve wants a number."""
        try:
            number = float(value)
        except (TypeError, ValueError):
            return float(self.start)
        if number != number:
            return float(self.start)
        return float(min(max(number, self.low), self.high))

    def page(self) -> dict[str, Any]:
        """Return what the page needs to show this control."""
        names = ("key", "label", "unit", "low", "high", "step", "start", "plays")
        return {"form": "slider", **{name: getattr(self, name) for name in names}}


@dataclass(frozen=True)
class Choice:
    """One of a few settings, shown as a row of radio buttons: (value, label) pairs.

    Examples
    --------
    >>> Choice("surface", "Surface", (("wet", "Wet"), ("dry", "Dry")), "wet").settle("damp")
    'wet'
    """

    key: str
    label: str
    options: tuple[tuple[str, str], ...]
    start: str

    def __post_init__(self) -> None:
        if self.start not in dict(self.options):
            raise UnknownName(f"option of {self.key}", self.start, dict(self.options))

    def settle(self, value: Any) -> str:
        """Return ``value`` if it is one of the options, else where the choice starts."""
        return value if isinstance(value, str) and value in dict(self.options) else self.start

    def page(self) -> dict[str, Any]:
        """Return what the page needs to show this control."""
        options = [{"key": key, "text": text} for key, text in self.options]
        return {
            "form": "choice",
            "key": self.key,
            "label": self.label,
            "options": options,
            "start": self.start,
        }


@dataclass(frozen=True)
class Predict:
    """A question to answer before the picture is shown. Not marked: nothing here is wrong.

    ``look`` is shown with the picture afterwards: what to look at, compared with what was said. ``off`` says
    for each choice how far from the picture it is; it is empty for what happens, and only for that.

    Raises
    ------
    BadData
        If not exactly one choice happens.
    """

    question: str
    choices: tuple[str, ...]
    look: str
    off: tuple[str, ...]

    def __post_init__(self) -> None:
        """Refuse a prediction that never closes."""
        if len(self.off) != len(self.choices) or self.off.count("") != 1:
            raise BadData(self.question, "exactly one choice must happen", "one empty text in off")

    @property
    def happened(self) -> str:
        """The choice that happens."""
        return self.choices[self.off.index("")]


@dataclass(frozen=True)
class ExplorerSpec:
    """An explorer as declared: its name, title, controls, an optional prediction, and how to draw it.

    ``own`` says in lines how the settings stand to the kitchen's own rules.
    """

    name: str
    title: str
    controls: tuple[Slider | Choice, ...]
    draw: Callable[[Mapping[str, Any]], Drawing]
    intro: str = ""
    predict: Predict | None = None
    own: OwnLines | None = None

    def settle(self, wanted: Mapping[str, Any]) -> dict[str, Any]:
        """Return a full set of settings: those wanted where they make sense, else where they start."""
        return {
            control.key: control.settle(wanted.get(control.key, control.start)) for control in self.controls
        }

    def start(self) -> dict[str, Any]:
        """Return the settings an explorer opens with."""
        return self.settle({})


DrawExplorer = Callable[[Mapping[str, Any]], Drawing]
DrawPicture = Callable[[Mapping[str, Any]], Drawing]

_EXPLORERS: dict[str, ExplorerSpec] = {}
_PICTURES: dict[str, DrawPicture] = {}


def explorer(
    name: str,
    *,
    title: str,
    controls: tuple[Slider | Choice, ...],
    intro: str = "",
    predict: Predict | None = None,
    own: OwnLines | None = None,
) -> Callable[[DrawExplorer], DrawExplorer]:
    """Declare the function below as an explorer: settings (control key to value) in, `Drawing` out.

    The function is pure: the same settings give the same drawing, and it touches no file and no widget.
    """

    def declare(draw: DrawExplorer) -> DrawExplorer:
        _once(_EXPLORERS, "explorer", name, draw.__module__)
        _EXPLORERS[name] = ExplorerSpec(name, title, controls, draw, intro, predict, own)
        return draw

    return declare


def picture(name: str) -> Callable[[DrawPicture], DrawPicture]:
    """Declare the function below as the picture of that name: data in, `Drawing` out."""

    def declare(draw: DrawPicture) -> DrawPicture:
        _once(_PICTURES, "picture", name, draw.__module__)
        _PICTURES[name] = draw
        return draw

    return declare


def explorer_named(name: str) -> ExplorerSpec:
    """Return the explorer of that name.

    Raises
    ------
    UnknownName
        If no module of ``kit/views/explorers`` declares it.
    """
    if name not in _EXPLORERS:
        _load("explorers")
    try:
        return _EXPLORERS[name]
    except KeyError:
        raise UnknownName("explorer", name, sorted(_EXPLORERS)) from None


def draw_picture(name: str, data: Mapping[str, Any]) -> Drawing:
    """Draw the picture of that name from its data.

    Raises
    ------
    UnknownName
        If no module of ``kit/views/pictures`` declares it.
    """
    if name not in _PICTURES:
        _load("pictures")
    try:
        draw = _PICTURES[name]
    except KeyError:
        raise UnknownName("picture", name, sorted(_PICTURES)) from None
    return draw(data)


def explorer_names() -> tuple[str, ...]:
    """Return the names of all explorers, sorted."""
    _load("explorers")
    return tuple(sorted(_EXPLORERS))


def picture_names() -> tuple[str, ...]:
    """Return the names of all pictures, sorted."""
    _load("pictures")
    return tuple(sorted(_PICTURES))


def _load(room: str) -> None:
    package = importlib.import_module(f"kit.views.{room}")
    for module in pkgutil.iter_modules(package.__path__):
        importlib.import_module(f"kit.views.{room}.{module.name}")


def _once(register: Mapping[str, Any], what: str, name: str, module: str) -> None:
    taken = register.get(name)
    owner = getattr(getattr(taken, "draw", taken), "__module__", None)
    if taken is not None and owner != module:
        raise ValueError(f"Two {what}s are called {name!r}: one in {owner}, one in {module}.")
