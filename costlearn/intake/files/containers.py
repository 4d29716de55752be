"""What kind of file some bytes are, judged by the bytes and never by the file's name."""

from __future__ import annotations

import io
import zipfile
import zlib
from dataclasses import dataclass

MAX_UNPACKED = 512 * 2**20
"""Bytes a packed workbook may declare in all, unpacked."""

MAX_RATIO = 250
"""How many times larger than the file a workbook may unpack, if it is large at all."""

LARGE = 64 * 2**20
"""Unpacked bytes up to which no ratio is looked at: repeated cells pack very small."""

_RESAVE = "open it in a spreadsheet program and save it as .xlsx or .csv"
_UNLOCK = "open it with its password and save a copy without one"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_PICTURES = (
    b"\x89PNG\r\n", b"\xff\xd8\xff", b"GIF87a", b"GIF89a", b"II*\x00", b"MM\x00*",
    b"\x00\x00\x00\x18ftyphei", b"\x00\x00\x00 ftyphei", b"\x00\x00\x00\x1cftyphei",
)  # fmt: skip
_STARTS = (
    (b"%PDF", "a PDF document"),
    (b"{\\rtf", "a text document"),
    (b"SQLite format 3\x00", "a database"),
    (b"\x1f\x8b", "a packed archive"),
    (b"7z\xbc\xaf", "a packed archive"),
    (b"Rar!", "a packed archive"),
)
_MARKUP = (
    (("<!doctype html", "<html", "<table", "<head", "<body"), "a web page"),
    (("<?xml",), "an XML file"),
)
_RESAVED = {"a web page", "an XML file"}
_INSIDE_OLE = (("WordDocument", "a text document"), ("PowerPoint Document", "a presentation"))


@dataclass(frozen=True, slots=True)
class FileKind:
    """``kind`` is "package" (a packed workbook), "binary" (an old one), "text" or "refused".

    A refusal has its reason, as the end of a sentence about the file, and what to do about it.
    """

    kind: str
    reason: str = ""
    hint: str = ""


def kind_of(data: bytes) -> FileKind:
    """What kind of file these bytes are, and why they cannot be read if they cannot."""
    if not data.strip():
        return _refused("is empty" if not data else "holds nothing but blank space")
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return _kind_of_package(data)
    if data.startswith(_OLE):
        return _kind_of_ole(data)
    other = _other_document(data)
    if other:
        return _refused(f"is {other}, not a workbook", _RESAVE if other in _RESAVED else "")
    return FileKind("text")


def _other_document(data: bytes) -> str:
    """What else than a workbook or a plain text some bytes are, "" if nothing known."""
    if data.startswith(_PICTURES) or _is_picture(data):
        return "a picture"
    head = data[:200].decode("latin-1").lstrip("\ufeff\xef\xbb\xbf \r\n\t").lower()
    known = [name for start, name in _STARTS if data.startswith(start)]
    known += [name for starts, name in _MARKUP if head.startswith(starts)]
    return known[0] if known else ""


def _refused(reason: str, hint: str = "") -> FileKind:
    return FileKind("refused", reason, hint)


def _is_picture(data: bytes) -> bool:
    """True for the pictures whose mark is spread over the first bytes."""
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return True
    # "BM" may begin a heading: a bitmap also states its own length.
    return data[:2] == b"BM" and int.from_bytes(data[2:6], "little") == len(data)


def _kind_of_ole(data: bytes) -> FileKind:
    """An old workbook, a workbook locked by a password, or another document of that age."""

    def names(stream: str) -> bool:
        return stream.encode("utf-16-le") in data

    if names("EncryptedPackage") or _has_filepass(data):
        return _refused("is locked by a password", _UNLOCK)
    if names("Workbook") or names("Book"):
        return FileKind("binary")
    for stream, name in _INSIDE_OLE:
        if names(stream):
            return _refused(f"is {name}, not a workbook")
    return _refused("holds no workbook")


def _has_filepass(data: bytes) -> bool:
    """Whether an old workbook's first records say that the rest needs a password.

    Records are a number, a length (two bytes each) and that many bytes; the first is BOF
    (0x0809), and FILEPASS (0x002F) comes soon after it ([MS-XLS] Excel Binary File Format, 2.3.1).
    """
    at = data.find(b"\x09\x08\x10\x00\x00\x06\x05\x00")
    for _ in range(12):
        if at < 0 or at + 4 > len(data):
            return False
        if data[at : at + 2] == b"\x2f\x00":
            return True
        at += 4 + int.from_bytes(data[at + 2 : at + 4], "little")
    return False


def _kind_of_package(data: bytes) -> FileKind:
    """A packed workbook that unpacks safely and whole, or why it is none."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            return _checked_package(package, len(data))
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError):
        return _refused("is damaged: it cannot be unpacked", "take it again from its source")
    except RuntimeError:
        # zipfile says so for parts that need a password, and for packing it does not know.
        return _refused("is locked by a password or packed in an unknown way", _UNLOCK)


def _checked_package(package: zipfile.ZipFile, size: int) -> FileKind:
    """Look at a package's list of parts before any of them is unpacked, then at each part."""
    parts = package.infolist()
    unpacked = sum(part.file_size for part in parts)
    if unpacked > MAX_UNPACKED or (unpacked > LARGE and unpacked > MAX_RATIO * size):
        return _refused(
            f"would unpack to {unpacked / 2**20:,.0f} MB, which no job record needs",
            "save only the sheets of the job records",
        )
    names = {part.filename for part in parts}
    if len({name.casefold() for name in names}) < len(parts):
        # Which of the two a program reads differs from program to program.
        return _refused("is damaged: it holds a part twice", "take it again from its source")
    if not names & {"xl/workbook.xml", "xl/workbook.bin", "content.xml"}:
        return _refused(_other_package(names))
    broken = package.testzip()
    if broken is not None:
        found = f"is damaged: its part '{broken}' cannot be unpacked"
        return _refused(found, "take it again from its source")
    return _kind_by_manifest(package, names)


def _kind_by_manifest(package: zipfile.ZipFile, names: set[str]) -> FileKind:
    """What the list of contents of an open document says about the package, if it has one."""
    if "META-INF/manifest.xml" in names:
        manifest = package.read("META-INF/manifest.xml")
        if b"encryption-data" in manifest:
            return _refused("is locked by a password", _UNLOCK)
        if b"opendocument.spreadsheet" not in manifest:
            return _refused("is a document, but not a workbook")
    return FileKind("package")


def _other_package(names: set[str]) -> str:
    """What a package without a workbook is."""
    if any(name.startswith("word/") for name in names):
        return "is a text document, not a workbook"
    if any(name.startswith("ppt/") for name in names):
        return "is a presentation, not a workbook"
    return "is a packed archive that holds no workbook"
