"""Two inputs that the desk's forms need and a notebook lacks: big buttons, and a photo. Wiring only."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import traitlets as t

from kit.views.workbook.widget_base import STYLE, WorkbookWidget, script

FRONT = Path(__file__).resolve().parent / "front"
LARGEST_BYTES = 50 * 1024 * 1024


@cache
def joined(name: str) -> str:
    """Return one of the desk's scripts with what it shares, as a page loads it."""
    return script("common") + "\n" + (FRONT / f"{name}.js").read_text(encoding="utf-8")


@cache
def desk_style() -> str:
    """Return the desk's styles."""
    return STYLE + (FRONT / "desk.css").read_text(encoding="utf-8")


class BigButtons(WorkbookWidget):
    """One line of a sheet with a few big buttons; ``value`` is empty until one is pressed."""

    _esm = joined("choice")
    label = t.Unicode().tag(sync=True)
    small = t.Unicode().tag(sync=True)
    options: Any = t.List().tag(sync=True)
    value = t.Unicode().tag(sync=True)
    turn = t.Int().tag(sync=True)
    said = "A line of a sheet. Run the notebook to use it."

    def heard(self, content: Mapping[str, Any]) -> None:
        """Take what was pressed."""
        wanted = content.get("value")
        if wanted == "" or wanted in [value for _, value in self.options]:
            with self.hold_sync():
                self.value, self.turn = str(wanted), int(content.get("turn", self.turn))


@dataclass(frozen=True)
class Shot:
    """A photo as it came from the page: its name, how many bytes are to come, and those that came."""

    name: str
    size: int
    data: bytes

    @property
    def whole(self) -> bool:
        """Whether all of it has come."""
        return len(self.data) == self.size


class Photo(WorkbookWidget):
    """A photo, or another file, taken or chosen in the page; ``value`` is None where there is none."""

    _esm = joined("photo")
    label = t.Unicode().tag(sync=True)
    accept = t.Unicode("image/*,.heic,.heif").tag(sync=True)
    what = t.Unicode("photo").tag(sync=True)
    value = t.Any(None, allow_none=True)
    said = "A photo for a form. Run the notebook to use it."

    def _hear(self, widget: Any, content: Any, buffers: Any) -> None:
        if isinstance(content, Mapping) and content.get("do") == "piece" and self.value is not None:
            shot, pieces = self.value, b"".join(bytes(piece) for piece in buffers or ())
            self.value = Shot(shot.name, shot.size, (shot.data + pieces)[: LARGEST_BYTES + 1])
        else:
            super()._hear(widget, content, buffers)

    def heard(self, content: Mapping[str, Any]) -> None:
        """Begin a photo, or take it away."""
        if content.get("do") == "photo":
            self.value = Shot(Path(str(content["name"])).name[:120], int(content["size"]), b"")
        elif content.get("do") == "no photo":
            self.value = None
