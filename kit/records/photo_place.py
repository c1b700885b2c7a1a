"""Whether a photo says where it was taken, and how to take that out without touching the picture.

A camera writes the place into the photo's data (EXIF, tag 34853: GPS), and some programs also as text (XMP).
Both are looked for in JPEG, PNG and WebP. Only from a JPEG are they taken out here: the bytes of the picture
stay as they are, and so does its turn.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

_GPS = 0x8825  # the tag of the pointer to the place
_EXIF, _XMP = b"Exif\x00\x00", b"http://ns.adobe.com/xap/1.0/\x00"
_PLACE_WORDS = (b"GPSLatitude", b"GPSLongitude")
_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8}
_Order = Literal["little", "big"]


def holds_place(data: bytes) -> bool:
    """Return whether a photo holds a place in its data.

    Examples
    --------
    >>> holds_place(b"\\xff\\xd8\\xff\\xe0 a picture \\xff\\xd9")
    False
    """
    return any(word in data for word in _PLACE_WORDS) or any(
        _gps_entry(data, start, order) is not None for start, order in _tiffs(data)
    )


def without_place(jpeg: bytes) -> bytes:
    """Return a JPEG without the place in it; the picture itself is untouched."""
    data = bytearray(_without_xmp(jpeg))
    for start, order in list(_tiffs(bytes(data))):
        entry = _gps_entry(bytes(data), start, order)
        if entry is not None:
            _blank(data, start, order, entry)
    return bytes(data)


def _tiffs(data: bytes) -> Iterator[tuple[int, _Order]]:
    """Yield where each block of camera data begins, and its byte order."""
    for mark, skip in ((_EXIF, len(_EXIF)), (b"eXIf", 4), (b"EXIF", 8)):
        at = data.find(mark)
        while at >= 0:
            start = at + skip
            if data[start : start + 4] in (b"II*\x00", b"MM\x00*"):
                yield start, "little" if data[start : start + 2] == b"II" else "big"
            at = data.find(mark, at + 1)


def _number(data: bytes | bytearray, at: int, size: int, order: _Order) -> int:
    return int.from_bytes(data[at : at + size], order)


def _gps_entry(data: bytes | bytearray, start: int, order: _Order) -> int | None:
    """Return where the entry that points to the place stands, or None."""
    first = start + _number(data, start + 4, 4, order)
    for index in range(min(_number(data, first, 2, order), 500)):
        entry = first + 2 + 12 * index
        if entry + 12 > len(data):
            return None
        if _number(data, entry, 2, order) == _GPS:
            return entry
    return None


def _blank(data: bytearray, start: int, order: _Order, entry: int) -> None:
    """Overwrite the place with zeros and take its entry out of the list."""
    place = start + _number(data, entry + 8, 4, order)
    count = min(_number(data, place, 2, order), 100)
    for index in range(count):
        each = place + 2 + 12 * index
        size = _SIZES.get(_number(data, each + 2, 2, order), 1) * _number(data, each + 4, 4, order)
        if 4 < size <= 4096:
            _zero(data, start + _number(data, each + 8, 4, order), size)
    _zero(data, place, 2 + 12 * count + 4)
    first = start + _number(data, start + 4, 4, order)
    entries = _number(data, first, 2, order)
    end = first + 2 + 12 * entries + 4  # with the pointer to the next list
    if end > len(data):
        return
    data[entry : end - 12] = data[entry + 12 : end]
    _zero(data, end - 12, 12)
    data[first : first + 2] = (entries - 1).to_bytes(2, order)


def _zero(data: bytearray, at: int, size: int) -> None:
    stop = min(at + size, len(data))
    if 0 <= at < stop:
        data[at:stop] = bytes(stop - at)


def _without_xmp(jpeg: bytes) -> bytes:
    """Leave out the blocks of text that name a place."""
    kept, at = [jpeg[:2]], 2
    while at + 4 <= len(jpeg) and jpeg[at] == 0xFF and jpeg[at + 1] not in (0xDA, 0xD9):
        end = at + 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
        block = jpeg[at:end]
        if not (block[4:].startswith(_XMP) and any(word in block for word in _PLACE_WORDS)):
            kept.append(block)
        at = end
    return b"".join((*kept, jpeg[at:]))
