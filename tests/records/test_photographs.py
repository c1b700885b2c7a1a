"""Photographs: nothing of the place stays, nothing of the picture goes, and nothing hostile gets through."""

from __future__ import annotations

import io
import struct
import sys
import zlib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageSequence
from PIL.PngImagePlugin import PngInfo

from kit.basics.errors import BadData
from kit.records.evidence import photographs
from kit.records.evidence.photographs import FORMATS, holds_place, opened, without_place

XMP = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf exif:GPSLatitude='53,20.86N'/></x:xmpmeta>"
IPTC = b"\x1c\x02\x5a\x00\x05Tarn!"  # IIM, record 2, data set 90: the city
ICC = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
NOISE = np.random.default_rng(3).integers(0, 255, (48, 64, 3), dtype=np.uint8)


def camera_data(*, gps=True, maker=b"Glen Road 4"):
    exif = Image.Exif()
    exif[0x0112], exif[0x010F], exif[0x0110], exif[0x0132] = 6, "Own camera", "One", "2026:03:02 09:15:00"
    exif[0x010E] = "By the pier at Tarn"
    own = exif.get_ifd(0x8769)
    own[0x9003], own[0x9011] = "2026:03:02 09:15:00", "+01:00"
    own[0x927C] = maker  # some makers write a place here too
    if gps:
        place = exif.get_ifd(0x8825)
        place[1], place[2] = "N", (53.0, 20.0, 51.5)
        place[3], place[4] = "W", (6.0, 15.0, 37.25)
    return exif


def saved(fmt, picture=None, **how):
    file = io.BytesIO()
    (picture or Image.fromarray(NOISE)).save(file, fmt, **how)
    return file.getvalue()


def with_gps(fmt, **how):
    return saved(fmt, exif=camera_data(), icc_profile=ICC, **how)


def jpeg_part(marker, body):
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def with_part(jpeg, marker, body):
    return jpeg[:2] + jpeg_part(marker, body) + jpeg[2:]


def with_colours_said():
    """Without JFIF's part, another one says that the colours are red, green and blue as they stand."""
    whole = with_gps("JPEG")
    assert whole[2:4] == b"\xff\xe0" and whole[6:10] == b"JFIF"
    return with_part(whole[:2] + whole[20:], 0xEE, b"Adobe\0\x64\0\0\0\0\0")


def frames(*, step=40):
    return [Image.fromarray(np.roll(NOISE, turn * step, axis=0)) for turn in range(3)]


def animated(fmt):
    first, *more = frames()
    return with_gps(fmt, picture=first, save_all=True, append_images=more, lossless=True)


def deep_png():
    """16 bits a point: what a photograph loses when it is encoded again carelessly."""
    deep = Image.fromarray((NOISE[:, :, 0].astype(np.uint16) * 257) ^ 0x5A)
    return saved("PNG", deep, exif=camera_data(), icc_profile=ICC)


def texts_png():
    info = PngInfo()
    info.add_itxt("XML:com.adobe.xmp", XMP.decode(), zip=True)
    return saved("PNG", pnginfo=info)


def heic(exif=None, xmp=None):
    plugin = pytest.importorskip("pillow_heif", reason="its libraries take 26 MB: an extra")
    picture, file = plugin.from_pillow(Image.fromarray(NOISE)), io.BytesIO()
    picture.save(file, exif=exif and exif.tobytes(), xmp=xmp)
    return file.getvalue()


PHOTOS = {
    "plain": ("image/jpeg", lambda: with_gps("JPEG")),
    "progressive": ("image/jpeg", lambda: with_gps("JPEG", progressive=True, quality=70)),
    "restarts": ("image/jpeg", lambda: with_gps("JPEG", restart_marker_blocks=2)),
    "one colour": ("image/jpeg", lambda: with_gps("JPEG", picture=Image.fromarray(NOISE).convert("L"))),
    "four colours": ("image/jpeg", lambda: with_gps("JPEG", picture=Image.fromarray(NOISE).convert("CMYK"))),
    "colours said": ("image/jpeg", with_colours_said),
    "own colours": ("image/jpeg", lambda: with_gps("JPEG", keep_rgb=True)),
    "text": ("image/jpeg", lambda: saved("JPEG", xmp=XMP)),
    "press": (
        "image/jpeg",
        lambda: with_part(saved("JPEG"), 0xED, b"Photoshop 3.0\x008BIM\x04\x04\0\0\0\0\0\x0a" + IPTC),
    ),
    "remark": ("image/jpeg", lambda: with_part(with_gps("JPEG"), 0xFE, b"GPSLatitude 53.3")),
    "film behind": ("image/jpeg", lambda: with_gps("JPEG") + b"\0\0\0\x18ftypmp42 quicktime.location +53.3"),
    "two pictures": ("image/jpeg", lambda: saved("JPEG") + with_gps("JPEG")),
    "mpo": ("image/jpeg", lambda: with_gps("MPO", save_all=True, append_images=frames()[1:])),
    "png": ("image/png", lambda: with_gps("PNG")),
    "png deep": ("image/png", deep_png),
    "png moving": ("image/png", lambda: animated("PNG")),
    "png packed text": ("image/png", texts_png),
    "png see-through": ("image/png", lambda: with_gps("PNG", picture=Image.fromarray(NOISE).convert("RGBA"))),
    "webp": ("image/webp", lambda: with_gps("WEBP", quality=60, xmp=XMP)),
    "webp exact": ("image/webp", lambda: with_gps("WEBP", lossless=True)),
    "webp moving": ("image/webp", lambda: animated("WEBP")),
    "heic": ("image/heic", lambda: heic(exif=camera_data(), xmp=XMP)),
    "heic text": ("image/heic", lambda: heic(xmp=XMP)),
}


def points(data):
    with Image.open(io.BytesIO(data)) as image:
        if image.format == "MPO":
            return [(image.mode, image.tobytes())]  # the first is the photograph
        return [(each.mode, each.tobytes()) for each in ImageSequence.Iterator(image)]


@pytest.mark.parametrize("name", PHOTOS)
def test_no_place_stays_and_every_point_does(name):
    media, make = PHOTOS[name]
    whole = make()
    image = opened(whole, media, "a")
    assert holds_place(whole, image)
    clean = without_place(whole, image, media, "a")
    assert points(clean) == points(whole)
    again = opened(clean, media, "a")
    assert not holds_place(clean, again)
    for trace in (b"GPSL", b"Glen Road", b"Tarn", b"quicktime", struct.pack("<II", 103, 2)):
        assert trace not in clean
    before, after = image.getexif(), again.getexif()
    assert after.get(0x0112) == before.get(0x0112) and after.get(0x010F) == before.get(0x010F)
    assert after.get_ifd(0x8769).get(0x9003) == before.get_ifd(0x8769).get(0x9003)
    assert again.info.get("icc_profile") == image.info.get("icc_profile")
    assert without_place(clean, again, media, "a") == clean, "taking out twice is taking out once"


@pytest.mark.parametrize("tag", [2, 4, 20, 22, 28])
def test_each_part_of_a_place_is_one(tag):
    exif = Image.Exif()
    exif[0x010F] = "Own camera"
    exif.get_ifd(0x8825)[tag] = b"ASCII\0\0\0pier" if tag == 28 else (53.0, 20.0, 51.5)
    data = saved("JPEG", exif=exif)
    assert holds_place(data, opened(data, "image/jpeg", "a"))


def test_a_webp_does_not_announce_parts_that_went():
    exif = Image.Exif()
    exif.get_ifd(0x8825)[2] = (53.0, 20.0, 51.5)
    whole = saved("WEBP", exif=exif.tobytes(), xmp=XMP, icc_profile=ICC)
    clean = without_place(whole, opened(whole, "image/webp", "a"), "image/webp", "a")
    announced = slice(20, 21)  # the first byte of VP8X: 0x20 colours, 0x08 camera data, 0x04 text
    assert (whole[announced], clean[announced]) == (b"\x2c", b"\x20")


def test_a_place_that_stays_all_the_same_is_said_and_not_kept(monkeypatch):
    whole = with_gps("JPEG")
    monkeypatch.setattr(photographs, "_jpeg", lambda data, camera: data)
    with pytest.raises(BadData, match="the place cannot be taken out here"):
        without_place(whole, opened(whole, "image/jpeg", "a"), "image/jpeg", "a")


def test_a_png_without_its_end_and_one_with_a_wrong_sum_are_refused():
    whole = saved("PNG")
    assert whole.endswith(b"IEND\xaeB`\x82")
    for bad in (whole[:-12], whole[:-12] + b"\0\0\0\1teXtx\0\0\0\0" + whole[-12:]):
        with pytest.raises(BadData, match="damaged or cut short"):
            opened(bad, "image/png", "a.png")


def test_the_encoded_bytes_of_a_jpeg_are_copied():
    whole = with_gps("JPEG")
    clean = without_place(whole, opened(whole, "image/jpeg", "a"), "image/jpeg", "a")
    picture = whole[whole.index(b"\xff\xdb") :]  # from the first table on
    assert clean.endswith(picture)


@pytest.mark.parametrize("name", ["plain", "png", "webp", "heic"])
def test_a_photo_without_a_place_is_not_said_to_have_one(name):
    media, _ = PHOTOS[name]
    fmt = {"HEIC": "HEIF", "WebP": "WEBP"}.get(FORMATS[media], FORMATS[media])
    bare = heic() if fmt == "HEIF" else saved(fmt, exif=camera_data(gps=False))
    assert not holds_place(bare, opened(bare, media, "a"))


def test_a_place_that_was_never_filled_in_is_none():
    exif = camera_data(gps=False)
    exif.get_ifd(0x8825)[0] = b"\x02\x03\0\0"  # many cameras write the version of the list alone
    data = saved("JPEG", exif=exif)
    assert not holds_place(data, opened(data, "image/jpeg", "a"))


def test_camera_data_that_cannot_be_read_keeps_nobody_from_keeping_the_photo():
    whole = with_part(saved("JPEG"), 0xE1, b"Exif\0\0II*\0\x08\0\0\0\xff\xff\x12\x01" + bytes(9))
    image = opened(whole, "image/jpeg", "a")
    assert not holds_place(whole, image)
    clean = without_place(whole, image, "image/jpeg", "a")
    assert clean == saved("JPEG"), "the part that cannot be read is all that goes"


def bomb(side=60_000):
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    parts = [b"IHDR" + head, b"IDAT" + zlib.compress(bytes(1000)), b"IEND"]
    made = [struct.pack(">I", len(p) - 4) + p + struct.pack(">I", zlib.crc32(p)) for p in parts]
    return b"\x89PNG\r\n\x1a\n" + b"".join(made)


@pytest.mark.parametrize("side", [9_700, 60_000])
def test_a_picture_too_large_to_unpack_is_refused_before_it_is(side):
    with pytest.raises(BadData, match=r"more points than a photo has.*90 million"):
        opened(bomb(side), "image/png", "a.png")


@pytest.mark.slow
def test_a_text_that_unpacks_without_end_is_refused():
    packed = b"zTXtnote\0\0" + zlib.compress(bytes(80_000_000))
    part = struct.pack(">I", len(packed) - 4) + packed + struct.pack(">I", zlib.crc32(packed))
    whole = saved("PNG")
    with pytest.raises(BadData, match="damaged or cut short"):
        opened(whole[:33] + part + whole[33:], "image/png", "a.png")


@pytest.mark.parametrize("name", ["plain", "progressive", "png", "webp", "heic"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.97])
def test_a_photo_cut_short_is_refused(name, share):
    media, make = PHOTOS[name]
    whole = make()
    with pytest.raises(BadData, match=r"is damaged or cut short.*Copy it again"):
        opened(whole[: int(share * len(whole))], media, "a")


SMALL = {name: (media, make()) for name, (media, make) in PHOTOS.items() if name in ("plain", "png", "webp")}


@given(st.sampled_from(sorted(SMALL)), st.lists(st.tuples(st.integers(0), st.integers(0, 255)), max_size=12))
def test_whatever_is_changed_in_a_photo_is_read_or_refused_plainly(name, changes):
    media, whole = SMALL[name]
    odd = bytearray(whole)
    for place, value in changes:
        odd[place % len(odd)] = value
    try:
        image = opened(bytes(odd), media, "a")
        holds_place(bytes(odd), image)
        clean = without_place(bytes(odd), image, media, "a")
    except BadData as error:
        assert error.problem
    else:
        assert not holds_place(clean, opened(clean, media, "a"))


def test_without_its_plugin_heic_is_refused_with_what_helps(monkeypatch):
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(BadData, match=r"Save it as JPEG, or install .* smokehouse-kit\[heic\]"):
        opened(b"anything", "image/heic", "a.heic")
