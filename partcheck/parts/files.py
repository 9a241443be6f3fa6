"""The text of a file that should hold parts, or a sentence on why it cannot be read."""

import stat
from pathlib import Path

from partcheck.errors import PartsError
from partcheck.inputs import NotRead, is_pipe, objection, read_bytes

LARGEST = 50_000_000  # bytes; a sheet of a million rows is of this order
_ZIP = b"PK\x03\x04"


def read_text(path: Path, piped: bool = False) -> str:
    """The file as text without a byte order mark; :class:`PartsError` for anything but UTF-8 text.

    Refused before reading: what is missing, a folder, a device, larger than ``LARGEST`` or empty; a pipe unless
    ``piped``: one that stands in a folder might never give anything.
    """
    try:
        if not piped or not is_pipe(path):
            _refuse(path)
        elif why := objection(path, LARGEST, "parts file"):
            raise PartsError(why)
        raw = read_bytes(path, LARGEST, "parts file")
    except NotRead as slip:
        raise PartsError(str(slip)) from slip
    except FileNotFoundError as slip:
        raise PartsError(f"{path} is not there; check its name and folder") from slip
    except ValueError as slip:  # a name with a zero byte
        raise PartsError(f"{str(path)!r} is not a file name; check what was typed") from slip
    except OSError as slip:
        raise PartsError(f"{path} cannot be read ({slip.strerror}); check its permissions and its disk") from slip
    return _decoded(raw, path)


def _refuse(path: Path) -> None:
    found = path.stat()
    if not stat.S_ISREG(found.st_mode):
        what = "a folder" if path.is_dir() else "not an ordinary file"
        raise PartsError(f"{path} is {what}; name a sheet or JSON file")
    if found.st_size > LARGEST:
        size = f"{found.st_size / 1e6:.0f} MB"
        raise PartsError(f"{path} has {size}, more than the {LARGEST / 1e6:.0f} MB that are read; split it")


def _decoded(raw: bytes, path: Path) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise PartsError(f"{path} is not UTF-8 but UTF-16; save it as CSV UTF-8")
    if raw.startswith(_ZIP):
        raise PartsError(f"{path} is a workbook or archive, not text; save the sheet as CSV UTF-8")
    if b"\0" in raw:
        raise PartsError(f"{path} is binary, not text; give a CSV or JSON file")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as slip:
        line = raw.count(b"\n", 0, slip.start) + 1
        raise PartsError(
            f"{path} is not UTF-8 (line {line} has the byte {raw[slip.start]:#04x}); save it as UTF-8"
        ) from slip
    if not text or text.isspace():
        raise PartsError(f"{path} is empty; write a header and a row for each part")
    return text
