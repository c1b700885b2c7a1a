"""What a file is, told from its content. Its ending only has to agree."""

from __future__ import annotations

import zipfile
from io import BytesIO
from pathlib import Path

from kit.basics.errors import BadData
from kit.records.evidence.photographs import FORMATS

ENDINGS = {
    ".jpg": "image/jpeg",
    ".jpeg": "image/jpeg",
    ".png": "image/png",
    ".webp": "image/webp",
    ".heic": "image/heic",
    ".heif": "image/heic",
    ".pdf": "application/pdf",
    ".csv": "text/csv",
    ".tsv": "text/csv",
    ".txt": "text/plain",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
XLSX, PDF = ENDINGS[".xlsx"], ENDINGS[".pdf"]
PHOTOS = frozenset(FORMATS)
TEXTS = frozenset({"text/csv", "text/plain"})
ALLOWED = "JPEG, PNG, WebP, HEIC, PDF, CSV, TXT or XLSX"
_PAGE_STARTS = ("<!doctype", "<html", "<svg", "<?xml", "#!", "{\\rtf")
_CONTROLS = frozenset(range(32)) - {9, 10, 12, 13, 26}  # tab, line ends, form feed, an old end of file


def media_type(data: bytes, name: str) -> str:
    """Return the media type of a file that may be kept as evidence.

    Parameters
    ----------
    data : bytes
        All of the file.
    name : str
        Its name; only the ending is looked at.

    Raises
    ------
    BadData
        If the content is of no allowed type, is not what the ending says, or is a paper or spreadsheet that
        is cut short. Whether a photo is whole is for ``photographs.opened``.

    Examples
    --------
    >>> media_type(b"minute;core\\n0;62.5\\n", "cook.csv")
    'text/csv'
    >>> media_type(b"MZ\\x00\\x01", "cook.csv")
    Traceback (most recent call last):
    ...
    kit.basics.errors.BadData: cook.csv: this is no file of a kind that is kept. Expected: JPEG, PNG, ...
    """
    if not data:
        raise BadData(name, "the file is empty", ALLOWED)
    told = ENDINGS.get(Path(name).suffix.lower())
    found = _sniffed(data, name)
    if found is None:
        raise BadData(name, "this is no file of a kind that is kept", ALLOWED)
    if told in TEXTS and found in TEXTS:
        return told
    if told != found:
        says = Path(name).suffix or "without an ending"
        raise BadData(name, f"its name says {says}, its content is {_plain(found)}", "one and the same")
    return found


def _sniffed(data: bytes, name: str) -> str | None:
    import filetype

    found = filetype.guess_mime(data)
    if found in PHOTOS:
        return str(found)
    if found == PDF:
        if b"%%EOF" not in data[-65536:]:
            raise BadData(name, "this PDF is cut short", "the whole file", "Copy it again.")
        return PDF
    if found in (XLSX, "application/zip"):
        return _workbook(data, name)
    return "text/plain" if _is_text(data) else None


def _workbook(data: bytes, name: str) -> str | None:
    """Return the type of a spreadsheet; nothing in it is unpacked, and one with macros is refused."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            names = set(archive.namelist())
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        raise BadData(name, "this spreadsheet is damaged or cut short", "the whole file") from None
    if not {"[Content_Types].xml", "xl/workbook.xml"} <= names:
        return None
    if any(part.lower().endswith("vbaproject.bin") for part in names):
        raise BadData(name, "this spreadsheet holds macros", "one saved without macros, as .xlsx")
    return XLSX


def _is_text(data: bytes) -> bool:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            text = data.decode("utf-16")
        except UnicodeDecodeError:
            return False
        return not any(ord(c) in _CONTROLS for c in text) and not _is_page(text)
    if any(byte in _CONTROLS for byte in data):
        return False
    return not _is_page(data[:200].decode("latin-1").removeprefix("ï»¿"))


def _is_page(text: str) -> bool:
    return text[:200].lstrip().lower().startswith(_PAGE_STARTS)


def _plain(media: str) -> str:
    return {**FORMATS, PDF: "PDF", XLSX: "a spreadsheet"}.get(media, "text")
