"""A kitchen's own photograph beside a teaching picture: shown, without its place, or refused in one line."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import pytest
from PIL import Image

from kit.basics.places import HOME_VARIABLE
from kit.views.workbook.kitchen_photos import FOLDER, MOST_BYTES, kitchen_photo
from kit.views.workbook.task import look_first


def photo(*, place: bool) -> bytes:
    exif = Image.Exif()
    if place:
        where = exif.get_ifd(0x8825)
        where[1], where[2], where[3], where[4] = "N", (53.0, 20.0, 51.5), "W", (6.0, 15.0, 37.25)
    file = io.BytesIO()
    Image.new("RGB", (40, 30), (180, 90, 60)).save(file, "JPEG", exif=exif)
    return file.getvalue()


def kept(home: Path, data: bytes, name: str = "pin-bone-line.jpg") -> None:
    (home / FOLDER).mkdir(exist_ok=True)
    (home / FOLDER / name).write_bytes(data)


def test_the_place_does_not_reach_the_page_and_the_file_stays(tmp_path: Path):
    data = photo(place=True)
    kept(tmp_path, data)
    head, body = kitchen_photo("pin-bone-line", tmp_path)["photo"].split(",")
    shown = Image.open(io.BytesIO(base64.b64decode(body)))
    assert head == "data:image/jpeg;base64" and shown.size == (40, 30)
    assert not shown.getexif().get_ifd(0x8825)
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(0x8825)
    assert (tmp_path / FOLDER / "pin-bone-line.jpg").read_bytes() == data


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (photo(place=False)[:-200], "damaged or cut short"),
        (photo(place=False) + b"0" * MOST_BYTES, "3 MB or less"),
        (b"", "the file is empty"),
        (b"<svg onload='alert(1)'/>", "is"),
    ],
)
def test_what_is_no_whole_small_photo_is_refused_in_one_line(tmp_path: Path, data: bytes, why: str):
    kept(tmp_path, data)
    told = kitchen_photo("pin-bone-line", tmp_path)
    assert set(told) == {"photo_said"}
    assert why in told["photo_said"] and "pin-bone-line.jpg" in told["photo_said"]
    assert "\n" not in told["photo_said"]


def test_a_task_shows_it_beside_its_own_picture_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    kept(tmp_path, photo(place=True))
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path))
    shown = {one["label"]: "photo" in one for one in look_first("where-the-bones-sit")}
    assert shown == {"The parts of a fillet": False, "Where the pin bones sit": True}
