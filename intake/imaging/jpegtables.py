"""How hard a JPEG was squeezed, told from its quantisation tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import numpy.typing as npt

# ITU-T T.81 (JPEG) table K.1, the example luminance table, in natural order.
_LUMINANCE = np.array(
    [
        [16, 11, 10, 16, 24, 40, 51, 61],
        [12, 12, 14, 19, 26, 58, 60, 55],
        [14, 13, 16, 24, 40, 57, 69, 56],
        [14, 17, 22, 29, 51, 87, 80, 62],
        [18, 22, 37, 56, 68, 109, 103, 77],
        [24, 35, 55, 64, 81, 104, 113, 92],
        [49, 64, 78, 87, 103, 121, 120, 101],
        [72, 92, 95, 98, 112, 100, 103, 99],
    ]
).flatten()


_MIDDLE_QUALITY = 50
"""At which the tables are as printed in the standard (ITU-T T.81, K.1)."""


def _table_at(quality: int) -> npt.NDArray[np.int64]:
    """The scaling every encoder took over from the Independent JPEG Group's library (jcparam.c)."""
    scale = 5000 // quality if quality < _MIDDLE_QUALITY else 200 - 2 * quality
    return np.asarray(np.clip((_LUMINANCE * scale + 50) // 100, 1, 255), np.int64)


_TABLES = np.stack([_table_at(q) for q in range(1, 101)])


def estimated_quality(tables: Mapping[int, Sequence[int]] | None) -> int:
    """1 to 100: the quality whose table lies nearest to the picture's; 0 where it has none."""
    if not tables or 0 not in tables or len(tables[0]) != _LUMINANCE.size:
        return 0
    mine = np.sort(np.asarray(tables[0], np.int64))
    return 1 + int(np.abs(np.sort(_TABLES, axis=1) - mine).sum(axis=1).argmin())
