"""A kitchen's own photographs beside the teaching pictures: from its home, without their place."""

import base64
from pathlib import Path

from kit.basics.errors import BadData
from kit.basics.places import home
from kit.records.evidence.file_type import PHOTOS, media_type
from kit.records.evidence.photographs import opened, without_place

FOLDER = "photographs"
MOST_BYTES = 3_000_000
"""A page that holds a larger one would load slowly on a kitchen's machine."""
_ENDINGS = (".jpg", ".jpeg", ".png", ".webp")


def kitchen_photo(name: str, within: Path | None = None) -> dict[str, str]:
    """Return the kitchen's photograph for a teaching picture as a data address, or why it is not shown.

    It lies in the home, under ``photographs``, by the picture's name: ``photographs/pin-bone-line.jpg``. The
    place where it was taken is left out of what the page gets; the file itself is not touched.

    Examples
    --------
    >>> from tempfile import mkdtemp
    >>> kitchen_photo("pin-bone-line", Path(mkdtemp()))
    {}
    """
    folder = (within or home()) / FOLDER
    path = next((one for one in (folder / f"{name}{end}" for end in _ENDINGS) if one.is_file()), None)
    if path is None:
        return {}
    try:
        return {"photo": _address(path)}
    except (BadData, OSError) as error:
        return {"photo_said": f"The kitchen's photograph is not shown. {error}"}


def _address(path: Path) -> str:
    if path.stat().st_size > MOST_BYTES:
        size = f"{path.stat().st_size / 1e6:.1f} MB"
        raise BadData(
            path.name, f"the photo has {size}", f"{MOST_BYTES / 1e6:g} MB or less", "Save it smaller."
        )
    data = path.read_bytes()
    media = media_type(data, path.name)
    if media not in PHOTOS:
        raise BadData(path.name, "this is no photo", "JPEG, PNG or WebP")
    clean = without_place(data, opened(data, media, path.name), media, path.name)
    return f"data:{media};base64,{base64.b64encode(clean).decode('ascii')}"
