"""Numbers of a fixed count of decimals, as exports of mats have them, read one digit of all values at a time.

In a block whose values all have one decimal (say), the last digit of every value stands one byte before its
delimiter, the point two bytes before, the digit before that three. So a few gathers of single bytes, each
for thousands of values at once, are all the reading there is::

    12.3,0.0,4.7     place -1: 3 0 7    place -3: 2 0 4    place -4: 1 and, past their beginning, none

Anything that is not such a block (signs, exponents, longer values, other counts) is left to others.
"""

from typing import Any

import numpy as np
import numpy.typing as npt

from evenground.measure.recording import FloatArray

__all__ = ["fixed_point"]

_LONGEST = 9  # characters of a value; its digits fit 32 bits
_CHUNK = 16_384
_ZERO = np.uint8(48)
_Bytes = npt.NDArray[np.uint8]


def fixed_point(block: bytes, ends: Any, point: int, dtype: Any) -> FloatArray | None:
    """Values that end before the given places, or None when they are not of one plain kind.

    Parameters
    ----------
    block
        Text in which each value is followed by one delimiter or line end.
    ends
        (N,) places of those delimiters and line ends, rising.
    point
        The decimal sign as a number.
    dtype
        Of the values that are given back.
    """
    decimals = _decimals(block, int(ends[0]), point)
    lengths = np.empty(len(ends), np.intp)
    lengths[0] = ends[0]
    np.subtract(ends[1:], ends[:-1] + 1, out=lengths[1:])
    longest = int(lengths.max())
    if int(lengths.min()) < (decimals + 2 if decimals else 1) or longest > _LONGEST:
        return None
    padded = np.frombuffer(bytes(_LONGEST) + block, np.uint8)
    short = lengths.astype(np.uint8)
    values = np.empty(len(ends), dtype)
    for start in range(0, len(ends), _CHUNK):
        part = slice(start, start + _CHUNK)
        read = _read(padded, ends[part], short[part], (decimals, longest), point)
        if read is None:
            return None
        np.divide(read, 10.0**decimals, out=values[part], casting="unsafe")
    return values


def _decimals(block: bytes, first_end: int, point: int) -> int:
    """Digits behind the point of the first value."""
    at = block.rfind(bytes([point]), 0, first_end)
    return 0 if at < 0 else first_end - at - 1


def _read(
    padded: _Bytes, ends: Any, lengths: _Bytes, form: tuple[int, int], point: int
) -> npt.NDArray[np.int32] | None:
    """All digits of the values as whole numbers; None where a byte is neither a digit nor the point."""
    decimals, longest = form
    total = np.zeros(len(ends), np.int32)
    worth = 1
    for place in range(longest):
        found = padded[_LONGEST - 1 - place :][ends]
        if decimals and place == decimals:
            if not np.all(found == point):
                return None
            continue
        digit = found - _ZERO  # what is below "0" wraps round to more than nine
        if place > decimals or not decimals:
            digit *= lengths > place  # past the beginning of a value stands another one
        if np.any(digit > 9):
            return None
        total += digit * np.int32(worth)
        worth *= 10
    return total
