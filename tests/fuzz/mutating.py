"""Ways to spoil bytes and text that know nothing of what they spoil; each draws from a generator, to be repeated."""

import json
import re
import struct
from collections.abc import Callable, Sequence
from contextlib import suppress
from random import Random
from typing import Any

Mutator = Callable[[Random, bytes], bytes]
"""One change; what it can't change it hands back as it is."""

LARGEST = 2_000_000
"""Bytes of an input. A line put in thousands of times must not come to more: without an end of its own it is one line
then, and the next time that line is put in thousands of times."""

NUMBERS: tuple[int, ...] = (
    0, 1, 2, 3, 7, 8, 99, 127, 128, 255, 256, 600, 4096, 32767, 32768, 65000, 65535, 2**24, 2**31 - 1,
    2**31, 2**32 - 1, 2**32 - 8,
)  # fmt: skip
TOKENS = (
    b"0", b"-1", b"1e308", b"1e999", b"-1e999", b"nan", b"inf", b"9" * 400, b"9" * 5000, b"0x1F", b"1_000", b"1,5",
    b"true", b"null", b"[]", b"{}", b"[" * 3000, b'"', b"'", b"\\", b"\0", b"\r", b"\n", b"\t", b"#", b";", b",", b"=",
    b"\xff\xfe", b"\xef\xbb\xbf", b"\xed\xa0\x80", "½²٣Ⅷ".encode(), "\u202e\u2028".encode(), b"=cmd|' /C calc'!A0",
    b"../../etc/passwd", b"/dev/zero", b"CON", b"A" * 30_000, b"2026-02-30", b"0000-00-00", b"9999-12-31T23:59:60Z",
    b"10000-01-01", b"-0001-01-01T00:00", b"2026-11-02T18:30+99:99", b'"""', b"[[a]]", b"a.b.c = 1", b"NaN",
    b'"\\ud800"', b"1" + b"0" * 310, b"-0", b"1e-400", b"%s%n", b"{0.__class__}", b"<script>", b"$(id)",
)  # fmt: skip


def flip_bits(random: Random, data: bytes) -> bytes:
    """One to eight bits turned round."""
    out = bytearray(data)
    for _ in range(random.randint(1, 8) if out else 0):
        out[random.randrange(len(out))] ^= 1 << random.randrange(8)
    return bytes(out)


def flip_early_bits(random: Random, data: bytes) -> bytes:
    """The same near the beginning, where headers are."""
    return flip_bits(random, data[:400]) + data[400:]


def put_number(random: Random, data: bytes) -> bytes:
    """A number that programs stumble over, in one, two, four or eight bytes, at any place or an early one."""
    size = random.choice((1, 2, 4, 8))
    number: int = random.choice(NUMBERS) % 256**size
    at = random.randrange(max(1, min(len(data), random.choice((60, 400, len(data))))))
    return data[:at] + number.to_bytes(size, random.choice(("big", "little"))) + data[at + size :]


def cut_short(random: Random, data: bytes) -> bytes:
    """Only the beginning."""
    return data[: random.randrange(len(data) + 1)]


def drop_part(random: Random, data: bytes) -> bytes:
    """A part taken out."""
    at, size = random.randrange(len(data) + 1), random.choice((1, 2, 4, 16, 200, 5000))
    return data[:at] + data[at + size :]


def double_part(random: Random, data: bytes) -> bytes:
    """A part put in once more, perhaps elsewhere, perhaps many times."""
    at, size = random.randrange(len(data) + 1), random.choice((1, 4, 16, 200, 5000))
    to, times = random.choice((at, random.randrange(len(data) + 1))), random.choice((1, 1, 2, 50))
    return data[:to] + data[at : at + size] * times + data[to:]


def put_noise(random: Random, data: bytes) -> bytes:
    """A few drawn bytes written over what was there, or put in between."""
    at, noise = random.randrange(len(data) + 1), random.randbytes(random.choice((1, 3, 16, 300)))
    return data[:at] + noise + data[at + random.choice((0, len(noise))) :]


def put_token(random: Random, data: bytes) -> bytes:
    """A word that readers of text stumble over."""
    at = random.randrange(len(data) + 1)
    return data[:at] + random.choice(TOKENS) + data[at + random.choice((0, 0, 1, 5)) :]


def exchange_token(random: Random, data: bytes) -> bytes:
    """A number, a word or a text in quotes made another."""
    found = list(re.finditer(rb'"[^"\n]*"|[-+]?\d[\d.eE+-]*|[A-Za-z_]\w*', data))
    if not found:
        return data
    one = random.choice(found)
    other = random.choice(TOKENS) if random.random() < 0.7 else random.choice(found)[0]
    if one[0].startswith(b'"') and random.random() < 0.5:
        other = b'"' + other + b'"'
    return data[: one.start()] + other + data[one.end() :]


def shuffle_lines(random: Random, data: bytes) -> bytes:
    """A line taken out, doubled, moved or put in thousands of times."""
    lines = data.splitlines(keepends=True)
    if not lines:
        return data
    at = random.randrange(len(lines))
    match random.randrange(4):
        case 0:
            del lines[at]
        case 1:
            lines.insert(random.randrange(len(lines)), lines[at])
        case 2:
            lines.insert(random.randrange(len(lines)), lines.pop(at))
        case _:
            lines[at:at] = [lines[at]] * min(5000, LARGEST // len(lines[at]))
    return b"".join(lines)


_VALUES: tuple[Any, ...] = (
    None, True, 0, -1, 1.5, 1e308, float("nan"), float("inf"), 10**400, "", "x", "=1+1", "\x00", "a" * 20_000, [], {},
    [[]], [None], {"a": 1}, [1, 2, 3, 4, 5, 6, 7], "2026-13-45", "../../x", "\ud800", -(2**63) - 1,
)  # fmt: skip


def change_json(random: Random, data: bytes) -> bytes:
    """A value somewhere in a JSON document taken out, doubled or made another."""
    try:
        whole = json.loads(data)
    except (ValueError, RecursionError):
        return data
    places = list(_places(whole))
    if not places:
        return data
    holder, key = random.choice(places)
    match random.randrange(4):
        case 0:
            del holder[key]
        case 1 if isinstance(holder, dict):
            holder[f"{key} "] = holder[key]
        case 2:
            other, its = random.choice(places)
            holder[key] = json.loads(json.dumps(other[its]))
        case _:
            holder[key] = random.choice(_VALUES)
    try:
        return json.dumps(whole).encode()
    except (ValueError, RecursionError):
        return data


def _places(value: Any) -> Any:
    inner: Sequence[Any] = ()
    if isinstance(value, dict):
        inner = list(value)
    elif isinstance(value, list):
        inner = range(len(value))
    for key in inner:
        yield value, key
        yield from _places(value[key])


BYTES: tuple[Mutator, ...] = (
    flip_bits, flip_early_bits, put_number, put_number, cut_short, drop_part, double_part, put_noise,
)  # fmt: skip
TEXT: tuple[Mutator, ...] = (
    exchange_token, exchange_token, exchange_token, put_token, put_token, shuffle_lines, flip_bits, cut_short,
    drop_part,
)  # fmt: skip
JSON: tuple[Mutator, ...] = (change_json, change_json, change_json, change_json, exchange_token, put_token, cut_short)


def spoiled(random: Random, seeds: Sequence[bytes], ways: Sequence[Mutator]) -> bytes:
    """One of the seeds, changed one to four times; now and then two of them run together."""
    data = random.choice(seeds)
    for _ in range(random.choice((1, 1, 1, 2, 2, 3, 4))):
        # A way that meets what another spoilt before may find nothing to hold on to.
        with suppress(IndexError, ValueError, struct.error):
            data = random.choice(ways)(random, data)
    if random.random() < 0.03:
        other = random.choice(seeds)
        data = data[: random.randrange(len(data) + 1)] + other[random.randrange(len(other) + 1) :]
    return data
