"""Photographs: whether one is whole, whether it says where it was taken, and how to take that out.

A camera writes the place into the photo's data (EXIF), and programs write it as text too (XMP, IPTC). Where
it is taken out, the picture is not encoded again: its bytes are copied as they are. Beside them only its
colours, its turn, the camera and the time are kept, and nothing behind the picture's end, such as the short
film that some phones put there.
"""

from __future__ import annotations

import re
import struct
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import BytesIO
from itertools import islice
from typing import TYPE_CHECKING, Any

from kit.basics.errors import BadData

if TYPE_CHECKING:
    from PIL.ImageFile import ImageFile

FORMATS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WebP", "image/heic": "HEIC"}
KEPT = "The picture was not encoded again. Its colours, its turn, the camera and the time are kept with it."

_EXIF_PART, _GPS_PART = 0x8769, 0x8825
_PLACES = {2, 4, 20, 22, 28}  # of the GPS part: latitude, longitude, both of the aim, the name of the area
_KEPT_TAGS = (0x0112, 0x010F, 0x0110, 0x0132)  # turn, make, model, time
_KEPT_TIMES = (0x9003, 0x9004, 0x9010, 0x9011, 0x9012)  # when it was taken and digitised, and their zones
_PLACE_WORDS = re.compile(
    rb"GPSL(?:at|ong)itude|Location(?:Created|Shown)|Iptc4xmpCore:Location"
    rb"|photoshop:(?:City|State|Country)|quicktime\.location"
)
_IPTC_PLACES = {(2, 26), (2, 27), (2, 90), (2, 92), (2, 95), (2, 100), (2, 101)}
_CAMERA_DATA = re.compile(rb"II\*\0|MM\0\*")
_MOST_CAMERA_DATA, _LONGEST_CAMERA_DATA = 1000, 2**16  # blocks looked at; bytes
_JPEG_NEXT = re.compile(rb"\xff[\x01-\xcf\xd8-\xfe]")
_PNG_KEPT = re.compile(
    rb"[A-Z]|tRNS|gAMA|cHRM|sRGB|iCCP|cICP|sBIT|pHYs|acTL|fcTL|fdAT"
)  # a capital: the picture
_WEBP_KEPT = {b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"}


def opened(data: bytes, media: str, name: str) -> ImageFile:
    """Return a photograph, read to its end.

    Raises
    ------
    BadData
        If it is damaged or cut short, has more points than a photograph has, or is HEIC and the part of the
        kit that reads it is not installed.
    """
    from PIL import Image

    if media == "image/heic":
        _read_heic(name)
    with _said_plainly(name, media):
        image = Image.open(BytesIO(data), formats=["HEIF" if media == "image/heic" else FORMATS[media]])
        if media == "image/png":
            image.verify()  # the sums of all its parts; the points are read by a second look
            image = Image.open(BytesIO(data), formats=["PNG"])
        image.draft("RGB", (1, 1))  # a JPEG is read whole, but laid out small
        image.load()
    return image


def holds_place(data: bytes, image: ImageFile) -> bool:
    """Return whether a photograph that was ``opened`` says where it was taken."""
    from PIL.IptcImagePlugin import getiptcinfo

    texts = [str(text).encode() for text in getattr(image, "text", {}).values()]
    with _as_far_as_readable():  # the bytes are searched too
        if _has_place(image.getexif()) or _IPTC_PLACES & set(getiptcinfo(image) or ()):
            return True
    return any(map(_PLACE_WORDS.search, (data, *texts))) or _place_in_some_part(data)


def without_place(data: bytes, image: ImageFile, media: str, name: str) -> bytes:
    """Return a photograph that was ``opened`` without the place in it; the picture itself is untouched.

    Raises
    ------
    BadData
        If it cannot be taken out.
    """
    make = {"image/jpeg": _jpeg, "image/png": _png, "image/webp": _webp, "image/heic": _heic}[media]
    try:
        clean = make(data, _kept_camera_data(image))
        if not holds_place(clean, opened(clean, media, name)):
            return clean
    except (BadData, ValueError, IndexError, struct.error):
        pass
    raise BadData(name, "the place cannot be taken out here", "a photo saved without its place, or a JPEG")


@contextmanager
def _said_plainly(name: str, media: str) -> Iterator[None]:
    """Turn whatever a decoder says about a hostile or damaged file into one line."""
    from PIL.Image import DecompressionBombError, DecompressionBombWarning

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", DecompressionBombWarning)
            yield
    except (DecompressionBombError, DecompressionBombWarning):
        raise BadData(name, "it has more points than a photo has", "90 million points or fewer") from None
    except Exception:  # a decoder that is fed nonsense may raise anything at all
        problem = f"this {FORMATS[media]} is damaged or cut short"
        raise BadData(name, problem, "the whole file", "Copy it again.") from None


@contextmanager
def _as_far_as_readable() -> Iterator[None]:
    """Pass over camera data that cannot be read: a photo is kept for its picture."""
    with suppress(Exception), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def _read_heic(name: str) -> None:
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        advice = "Save it as JPEG, or install the kit with its part for HEIC: smokehouse-kit[heic]."
        raise BadData(name, "HEIC cannot be read by this kit", "JPEG, PNG or WebP", advice) from None
    register_heif_opener()


def _has_place(exif: Any) -> bool:
    return bool(_PLACES & set(exif.get_ifd(_GPS_PART)))


def _place_in_some_part(data: bytes) -> bool:
    """Look into every block of camera data in a file, also those of further pictures in it."""
    from PIL.Image import Exif

    for found in islice(_CAMERA_DATA.finditer(data), _MOST_CAMERA_DATA):
        with _as_far_as_readable():  # they may be four bytes of a picture that only look like camera data
            exif = Exif()
            exif.load(data[found.start() : found.start() + _LONGEST_CAMERA_DATA])
            if _has_place(exif):
                return True
    return False


def _kept_camera_data(image: ImageFile) -> bytes:
    """Return the camera data that stays, as a block of its own; empty if there is none."""
    from PIL.Image import Exif

    with _as_far_as_readable():  # the rest is not kept
        exif, kept = image.getexif(), Exif()
        kept.update({tag: exif[tag] for tag in _KEPT_TAGS if tag in exif})
        times = exif.get_ifd(_EXIF_PART)
        kept.get_ifd(_EXIF_PART).update({tag: times[tag] for tag in _KEPT_TIMES if tag in times})
        return kept.tobytes() if kept or kept.get_ifd(_EXIF_PART) else b""
    return b""


def _jpeg(data: bytes, camera: bytes) -> bytes:
    parts = [data[:2]]
    for marker, part in _jpeg_parts(data):
        of_programs = 0xE1 <= marker <= 0xEF or marker == 0xFE
        if not of_programs or part[4:].startswith((b"ICC_PROFILE\0", b"Adobe")):
            parts.append(part)
    if camera:
        mine = b"\xff\xe1" + struct.pack(">H", len(camera) + 2) + camera
        parts.insert(2 if parts[1][1] == 0xE0 else 1, mine)
    return b"".join(parts)


def _jpeg_parts(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield each part of a JPEG with its marker, up to the end of the picture."""
    at, marker = 2, 0
    while marker != 0xD9:
        marker, size = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        end = at + 2 if marker == 0xD9 else at + 2 + size
        if marker == 0xDA:  # the picture itself stands behind this part
            found = _JPEG_NEXT.search(data, end)
            end = len(data) if found is None else found.start()
        if data[at] != 0xFF or (size < 2 and marker != 0xD9):
            raise ValueError("no part of a JPEG begins here")
        yield marker, data[at:end]
        at = end


def _png(data: bytes, camera: bytes) -> bytes:
    parts, at = [data[:8]], 8
    while at < len(data):
        (size,) = struct.unpack_from(">I", data, at)
        kind, end = data[at + 4 : at + 8], at + 12 + size
        if _PNG_KEPT.match(kind):
            parts.append(data[at:end])
        if kind == b"IHDR" and camera:
            mine = b"eXIf" + camera.removeprefix(b"Exif\0\0")
            parts.append(struct.pack(">I", len(mine) - 4) + mine + struct.pack(">I", zlib.crc32(mine)))
        at = len(data) if kind == b"IEND" else end
    return b"".join(parts)


def _webp(data: bytes, camera: bytes) -> bytes:
    parts, at, end_of_all = [b"WEBP"], 12, 8 + int.from_bytes(data[4:8], "little")
    while at + 8 <= end_of_all:
        kind, size = data[at : at + 4], int.from_bytes(data[at + 4 : at + 8], "little")
        end = at + 8 + size + size % 2
        part = bytearray(data[at:end])
        if kind == b"VP8X":
            part[8] = part[8] & ~0x0C | (0x08 if camera else 0)  # says which further parts there are
        if kind in _WEBP_KEPT:
            parts.append(bytes(part))
        at = end
    if camera and parts[1].startswith(b"VP8X"):
        mine = camera.removeprefix(b"Exif\0\0")
        parts.append(b"EXIF" + struct.pack("<I", len(mine)) + mine + bytes(len(mine) % 2))
    body = b"".join(parts)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def _heic(data: bytes, camera: bytes) -> bytes:
    """Overwrite what is not the picture: in this kind nothing may move from its place."""
    from pillow_heif import open_heif

    for picture in open_heif(BytesIO(data)):
        info: dict[str, Any] = picture.info
        exif, text = info.get("exif") or b"", info.get("xmp") or b""
        mine = camera if exif.startswith(b"Exif") else camera.removeprefix(b"Exif\0\0")
        if len(mine) > len(exif):
            mine = b""
        for old, new in ((exif, mine.ljust(len(exif), b"\0")), (text, b" " * len(text))):
            if old not in data:
                raise ValueError("packed")
            data = data.replace(old, new) if old else data
    return data
