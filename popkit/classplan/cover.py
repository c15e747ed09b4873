"""Whether a few sheets can hold everything: a search in whole numbers, for small classes.

Takes the blank that the fewest layouts hold, tries each of those layouts, and goes on with
what is left; a branch ends when the values left exceed what the sheets left can carry.

Imports: numpy, classplan.listing (for the exception).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from popkit.classplan.listing import TooMany

__all__ = ["cover"]


def cover(
    counts: np.ndarray,
    values: np.ndarray,
    share: int,
    demand: np.ndarray,
    sheets: int,
    *,
    work: int,
    tick: Callable[[], None] = lambda: None,
) -> list[int] | None:
    """Layouts, repeats allowed, that together meet the demand on so many sheets.

    counts  (layouts, blanks)
    values  of the blanks; share: the most that one sheet carries of them
    work    how many counts may be compared
    Returns: numbers of layouts, or None if there is no such plan.
    Raises: TooMany if the work runs out.
    """
    counts = counts.astype(np.int32)
    left = [work]

    def search(wanted: np.ndarray, sheets: int) -> list[int] | None:
        if not wanted.any():
            return []
        value = int(values @ wanted)
        if value > sheets * share:
            return None
        tick()
        left[0] -= counts.size
        if left[0] < 0:
            raise TooMany
        held = np.minimum(counts, wanted)
        if sheets == 1:
            whole = np.flatnonzero((held == wanted).all(axis=1))
            return [int(whole[0])] if len(whole) else None
        holders = np.where(wanted > 0, (held > 0).sum(axis=0), len(counts) + 1)
        rows = np.flatnonzero(held[:, holders.argmin()])
        worth = held[rows] @ values
        rows = rows[worth >= value - (sheets - 1) * share]
        rows = rows[np.argsort(-(held[rows] @ values), kind="stable")]
        seen = set()
        for row in rows.tolist():
            key = held[row].tobytes()
            if key not in seen:
                seen.add(key)
                more = search(wanted - held[row], sheets - 1)
                if more is not None:
                    return [row, *more]
        return None

    return search(demand.astype(np.int32), sheets)
