"""The sealed file itself: a zip in one single form, so that the same contents are the same bytes on every machine.

Nothing in it is compressed: photos and PDF hardly shrink, and what isn't compressed can't swell when it is opened.
Every tool that opens zip files opens it. Reading takes no zip library's word for anything: the contents are read from
front to back and packed again, and must come out as the very same bytes; names that climb out, names twice, links,
gaps, comments and trailing bytes can't survive that. Form: PKWARE, APPNOTE.TXT, 4.3.
"""

import re
import struct
import zlib
from collections.abc import Mapping
from typing import NoReturn

from grader.evidence.errors import BundleUnreadable, EvidenceRefused

FILES_AT_MOST = 4000
BYTES_AT_MOST = 2**31
"""Of the whole file; zips beyond 4 GiB need fields that aren't written here."""
_NAME = re.compile(r"(?:[a-z][a-z0-9-]{0,30}/)?[A-Za-z0-9][A-Za-z0-9._-]{0,99}")
_LOCAL, _CENTRAL, _END = struct.Struct("<4s5H3L2H"), struct.Struct("<4s6H3L5H2L"), struct.Struct("<4s4H2LH")
_LOCAL_SIGN, _CENTRAL_SIGN, _END_SIGN = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"
_VERSION, _UNIX = 20, 3 << 8
_STORED = 0
_MIDNIGHT, _DAY = 0, (1980 - 1980) << 9 | 1 << 5 | 1
"""No clock speaks from the zip: every file is of the first day that zips know."""
_READABLE_FILE = 0o100644 << 16
_TAKE = "Ask for the file as it was made."


def may_be_called(name: str) -> bool:
    """Whether a file in a bundle may have this name: at most one folder, plain letters, nothing that climbs."""
    return _NAME.fullmatch(name) is not None and ".." not in name


def pack(contents: Mapping[str, bytes]) -> bytes:
    """The one file that holds these, in the order of their names.

    Raises
    ------
    EvidenceRefused
        A name is none that a bundle has, or it would be too large.
    """
    wrong = [name for name in contents if not may_be_called(name)]
    if wrong or len({name.casefold() for name in contents}) != len(contents) or len(contents) > FILES_AT_MOST:
        raise EvidenceRefused(f"These can't be packed: {', '.join(wrong) or 'names twice, or too many'}.", hint=_TAKE)
    if sum(len(data) + 300 for data in contents.values()) > BYTES_AT_MOST:
        raise EvidenceRefused("The file would be larger than 2 GiB.", hint="Make one file for each batch.")
    parts: list[bytes] = []
    directory: list[bytes] = []
    at = 0
    for name, data in sorted(contents.items()):
        raw = name.encode()
        facts = (_MIDNIGHT, _DAY, zlib.crc32(data), len(data), len(data))
        local = _LOCAL.pack(_LOCAL_SIGN, _VERSION, 0, _STORED, *facts, len(raw), 0) + raw
        made = (_CENTRAL_SIGN, _UNIX | _VERSION, _VERSION, 0, _STORED, *facts)
        directory.append(_CENTRAL.pack(*made, len(raw), 0, 0, 0, 0, _READABLE_FILE, at) + raw)
        parts += [local, data]
        at += len(local) + len(data)
    listed = b"".join(directory)
    end = _END.pack(_END_SIGN, 0, 0, len(contents), len(contents), len(listed), at, 0)
    return b"".join([*parts, listed, end])


def unpack(data: bytes) -> dict[str, bytes]:
    """What a bundle holds, by name.

    Raises
    ------
    BundleUnreadable
        It isn't in the one form: no bundle, damaged, changed, or packed anew by another program.
    """
    if len(data) > BYTES_AT_MOST:
        _refuse("is larger than a bundle can be")
    contents: dict[str, bytes] = {}
    at = 0
    while data[at : at + 4] == _LOCAL_SIGN:
        name, begins, ends = _one(data, at)
        if name in contents:
            _refuse(f"holds {name} twice")
        if len(contents) >= FILES_AT_MOST:
            _refuse("holds too many files")
        contents[name] = data[begins:ends]
        at = ends
    if not contents:
        _refuse("is no sealed bundle")
    if len({name.casefold() for name in contents}) != len(contents):
        _refuse("holds two names that differ in capitals only")
    if pack(contents) != data:
        _refuse("was changed or packed anew: its order, its directory or its end isn't as a bundle's is")
    return contents


def _one(data: bytes, at: int) -> tuple[str, int, int]:
    """Name, begin and end of the file whose header stands there."""
    header = data[at : at + _LOCAL.size]
    if len(header) < _LOCAL.size:
        _refuse("is cut short")
    _, _, flags, way, _, _, check, packed, size, name_length, extra_length = _LOCAL.unpack(header)
    if way != _STORED or packed != size or flags:
        _refuse("holds something compressed or encrypted, which a bundle never does")
    begins = at + _LOCAL.size + name_length + extra_length
    raw = data[at + _LOCAL.size : at + _LOCAL.size + name_length]
    name = raw.decode("ascii", "replace")
    if not may_be_called(name):
        _refuse(f"holds a name that a bundle never has: {name[:80]!r}")
    if begins + size > len(data):
        _refuse("is cut short")
    if zlib.crc32(data[begins : begins + size]) != check:
        _refuse(f"is damaged or changed: {name} isn't what its checksum says")
    return name, begins, begins + size


def _refuse(what: str) -> NoReturn:
    raise BundleUnreadable(f"This file {what}.", hint=_TAKE)
