"""How wide a text is in the house's typeface: advance widths read from the font file itself."""

from __future__ import annotations

import struct
from functools import cache

import fontpkg_atkinson_hyperlegible as typeface

from temperbench.foundation.units import Pixel

__all__ = ["FAMILY", "text_width"]

FAMILY: str = typeface.FAMILY
_UNKNOWN_EM = 1.0  # a sign the typeface lacks is drawn by another one: leave a full em for it


def text_width(text: str, size: Pixel, *, bold: bool = False) -> Pixel:
    """Return the width of a line of text, without kerning.

    Parameters
    ----------
    text : str
        One line. [-]
    size : Pixel
        Font size. [px]
    bold : bool
        Whether it is set in the bold weight. [-]

    Returns
    -------
    Pixel
        Sum of the advance widths. [px]
    """
    advances = _advances("Bold" if bold else "Regular")
    return size * sum(advances.get(ord(sign), _UNKNOWN_EM) for sign in text)


@cache
def _advances(weight: str) -> dict[int, float]:
    """Return the advance width in em of every character of one weight."""
    data = (typeface.ROOT / "files" / f"AtkinsonHyperlegible-{weight}.ttf").read_bytes()
    tables = _tables(data)
    (per_em,) = struct.unpack_from(">H", data, tables["head"] + 18)
    (measured,) = struct.unpack_from(">H", data, tables["hhea"] + 34)
    widths = struct.unpack_from(">" + "Hh" * measured, data, tables["hmtx"])[::2]
    return {sign: widths[min(glyph, measured - 1)] / per_em for sign, glyph in _glyphs(data, tables["cmap"]).items()}


def _tables(data: bytes) -> dict[str, int]:
    """Return where each table of an OpenType file begins."""
    (count,) = struct.unpack_from(">H", data, 4)
    records = (struct.unpack_from(">4sIII", data, 12 + 16 * i) for i in range(count))
    return {tag.decode("ascii"): offset for tag, _, offset, _ in records}


def _glyphs(data: bytes, cmap: int) -> dict[int, int]:
    """Return glyph numbers by character, from the first character map of the file (segments, format 4)."""
    (offset,) = struct.unpack_from(">I", data, cmap + 8)
    start = cmap + offset
    kind, _, _, twice = struct.unpack_from(">4H", data, start)
    if kind != 4:
        raise ValueError(f"the character map has format {kind}, not 4")
    count = twice // 2
    ends = struct.unpack_from(f">{count}H", data, start + 14)
    starts = struct.unpack_from(f">{count}H", data, start + 16 + twice)
    deltas = struct.unpack_from(f">{count}h", data, start + 16 + 2 * twice)
    shifts_at = start + 16 + 3 * twice
    found: dict[int, int] = {}
    for i, (first, last, delta) in enumerate(zip(starts, ends, deltas, strict=True)):
        (shift,) = struct.unpack_from(">H", data, shifts_at + 2 * i)
        for sign in range(first, min(last, 0xFFFE) + 1):
            glyph = sign
            if shift:
                (glyph,) = struct.unpack_from(">H", data, shifts_at + 2 * i + shift + 2 * (sign - first))
            if glyph:
                found[sign] = (glyph + delta) & 0xFFFF
    return found
