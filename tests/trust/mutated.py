"""Files as accidents leave them: bytes flipped, lines lost or doubled, words exchanged."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence

TOKENS: Sequence[bytes] = (
    b"0", b"-1", b"1e9", b"1e-9", b".nan", b"-.inf", b"1/0", b"38 mm", b"1-1/2 in", b"yes", b"~",
    b"null", b"[]", b"{}", b"''", b"&a", b"*a", b"!!int", b"<<", b"9" * 400, b"\xc3\xa4",
    b"\xff\xfe", b"\x00", b"\xe2\x80\xa8", b"1,5", b"=1+1", b"../..", b"C:\\", b"\xef\xbb\xbf",
)  # fmt: skip
"""What is put in the place of a word."""


def flip(r: random.Random, data: bytes) -> bytes:
    """One to four bits, anywhere."""
    changed = bytearray(data)
    for _ in range(r.randint(1, 4)):
        changed[r.randrange(len(changed))] ^= 1 << r.randrange(8)
    return bytes(changed)


def drop_line(r: random.Random, data: bytes) -> bytes:
    """A line or a few are gone."""
    lines = data.splitlines(keepends=True)
    at = r.randrange(len(lines))
    del lines[at : at + r.randint(1, 4)]
    return b"".join(lines)


def double_line(r: random.Random, data: bytes) -> bytes:
    """A line stands twice, the second time somewhere."""
    lines = data.splitlines(keepends=True)
    lines.insert(r.randrange(len(lines) + 1), r.choice(lines))
    return b"".join(lines)


def swap_words(r: random.Random, data: bytes) -> bytes:
    """Two words, numbers or signs have changed places."""
    spans = [m.span() for m in re.finditer(rb"[\w./-]+|[{}\[\],:]", data)]
    if len(spans) < 2:
        return data + b"x"
    (a, b), (c, d) = sorted(r.sample(spans, 2))
    return data[:a] + data[c:d] + data[b:c] + data[a:b] + data[d:]


def replace_word(r: random.Random, data: bytes) -> bytes:
    """A word has become another."""
    spans = [m.span() for m in re.finditer(rb"[\w./-]+", data)]
    a, b = r.choice(spans or [(0, 0)])
    return data[:a] + r.choice(TOKENS) + data[b:]


def indent(r: random.Random, data: bytes) -> bytes:
    """A line has moved to the right or to the left."""
    lines = data.splitlines(keepends=True)
    at = r.randrange(len(lines))
    moved = b" " * r.randint(1, 4) + lines[at] if r.random() < 0.5 else lines[at].lstrip(b" ")
    return b"".join([*lines[:at], moved, *lines[at + 1 :]])


def cut_short(r: random.Random, data: bytes) -> bytes:
    """The file breaks off."""
    return data[: r.randrange(len(data))]


def another_encoding(r: random.Random, data: bytes) -> bytes:
    """Saved by a program that does not know UTF-8."""
    text = data.decode("utf-8", errors="replace")
    return text.encode(r.choice(("utf-16", "utf-16-be", "latin-1", "cp1252", "utf-8-sig")),
                       errors="replace")  # fmt: skip


WAYS: tuple[Callable[[random.Random, bytes], bytes], ...] = (
    flip, drop_line, double_line, swap_words, replace_word, replace_word, indent, cut_short,
    another_encoding,
)  # fmt: skip


def mutated(r: random.Random, data: bytes) -> bytes:
    """The file after one to three accidents."""
    for _ in range(r.choice((1, 1, 1, 2, 3))):
        data = r.choice(WAYS)(r, data) or b"\n"
    return data
