"""From one ruler to another: a pasted text or a recipe, restated so that its mechanism holds.

Puts together what `wording` finds in a text, the card it tells to make, that card `regrid`ded,
and what rounding number by number would have done, with the reason for every change. Nothing
here knows of a notebook.

Imports: lengths, card, folding, regridding, wording.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from popkit.card import Card
from popkit.lengths import Grid, Length, LengthError, as_grid, mm, quoted, show_exact
from popkit.regridding import NumberByNumber, Regridded, RegridError, number_by_number, regrid
from popkit.wording import Found, Rewritten, card_in, find_lengths, rewritten, values_for
from popkit.wording.rewriting import Replacement

__all__ = ["Conversion", "Row", "converted_card", "converted_text", "jam_angle", "signed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One length that was restated.

    where    what it is: the words of the text, or piece and mark
    exact    what it was, in its own unit
    rounded  what it is now, a mark of the ruler
    shift    rounded - exact, in the ruler's unit
    nearest  the nearest mark, where the mechanism needs another; else None
    """

    where: str
    exact: Length
    rounded: Length
    shift: Length
    nearest: Length | None = None

    @property
    def why(self) -> str:
        """Why it is not the nearest mark, a sentence; "" where it is."""
        if self.nearest is None:
            return ""
        return (
            f"By itself it would round to {show_exact(self.nearest)}; "
            "the zones of the card need this mark."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Conversion:
    """A text or a card on another ruler.

    grid       the ruler
    rows       every length that was restated
    card       the card as it was, or None where a text tells of none
    card_words what stood in the way of a card in the text, or what was taken for granted
    regridded  the card on the ruler, its mechanism whole, or None
    naive      the card with every number rounded by itself, or None
    text       the text rewritten, or None where a card alone was given
    waiting    places of the text that only the tutor can decide
    faults     what could not be done, each a sentence
    """

    grid: Grid
    rows: tuple[Row, ...]
    card: Card | None
    card_words: str
    regridded: Regridded | None
    naive: NumberByNumber | None
    text: Rewritten | None
    waiting: tuple[Found, ...]
    faults: tuple[str, ...]

    @property
    def verdict(self) -> tuple[str, ...]:
        """What rounding by numbers does to the card, and what popkit's restatement does."""
        if self.naive is None or self.regridded is None:
            return ()
        broken = [str(broke.message) for broke in self.naive.breaks]
        angle = jam_angle(self.naive)
        stops = f" The card stops at {angle:.0f}°." if angle is not None and angle < 179.95 else ""
        by_numbers = "Number by number: " + (" ".join(broken) + stops if broken else "nothing breaks.")
        again = f"Restated as a card: {self.regridded}"
        kept = (
            "Feet equal shelves in every tier, so it closes flat and opens flat."
            if not self.regridded.fresh
            else " ".join(finding.message for finding in self.regridded.fresh)
        )
        return (by_numbers, again, kept, *self.regridded.notes)

    def __str__(self) -> str:
        lines = [f"On a ruler of {self.grid}: {len(self.rows)} lengths restated."]
        lines += [
            f"{row.where}: {show_exact(row.exact)} -> {show_exact(row.rounded)}, {signed(row.shift)}"
            + (f". {row.why}" if row.why else "")
            for row in self.rows
        ]
        lines += [f"To decide: {quoted(place.text)}. {place.doubt}" for place in self.waiting]
        if self.card_words:
            lines.append(self.card_words)
        return "\n".join([*lines, *self.verdict, *self.faults])


def signed(shift: Length) -> str:
    """A shift with its sign: "+0.3 mm", "−1⁄32 in", "no shift"."""
    if mm(shift) == 0:
        return "no shift"
    return ("+" if mm(shift) > 0 else "") + show_exact(shift)


def jam_angle(naive: NumberByNumber) -> float | None:
    """Degrees to which the carelessly rounded card opens; None where it cannot even be made."""
    return naive.opens_to


def _both_ways(
    card: Card, grid: Grid, faults: list[str]
) -> tuple[Regridded | None, NumberByNumber | None]:
    restated = None
    try:
        restated = regrid(card, grid)
    except (RegridError, ValueError) as fault:
        faults.append(str(fault))
    try:
        return restated, number_by_number(card, grid)
    except ValueError as fault:
        faults.append(str(fault))
        return restated, None


def converted_card(card: Card, grid: Grid | Length | str) -> Conversion:
    """A card on another ruler, with what rounding its numbers one by one would have broken.

    Returns: a `Conversion` without text. What cannot be done stands in `faults`.
    Raises: LengthError if the grid is no ruler.
    """
    grid = as_grid(grid)
    faults: list[str] = []
    restated, naive = _both_ways(card, grid, faults)
    rows = ()
    if restated is not None:
        rows = tuple(
            Row(
                where=f"{move.piece}, {move.mark}",
                exact=card.length(mm(move.exact)),
                rounded=move.rounded,
                shift=move.shift,
                nearest=_other_nearest(grid, move.exact, move.rounded),
            )
            for move in restated.moves
        )
    return Conversion(
        grid=grid,
        rows=rows,
        card=card,
        card_words="",
        regridded=restated,
        naive=naive,
        text=None,
        waiting=(),
        faults=tuple(faults),
    )


def converted_text(
    text: str,
    grid: Grid | Length | str,
    unit: str = "in",
    decisions: Mapping[int, str] = MappingProxyType({}),
    keep_original: bool = False,
) -> Conversion:
    """An instruction text on another ruler.

    unit           of numbers that name none but are plainly lengths
    decisions      by where a doubtful place starts: "length", "in", "mm" or "leave"
    keep_original  True: what the text said stands in brackets behind each length
    Returns: a `Conversion`. Where the text makes a card popkit knows, the lengths in it are
    those of the card restated whole, else each is the nearest mark.
    Raises: LengthError if the grid is no ruler.
    """
    grid = as_grid(grid)
    faults: list[str] = []
    known = {place.start for place in find_lengths(text, unit)}
    decisions = {start: choice for start, choice in decisions.items() if start in known}
    said = card_in(text, unit, decisions=decisions)
    restated = naive = None
    values: Mapping[int, Length] = {}
    if said.card is not None:
        restated, naive = _both_ways(said.card, grid, faults)
        if restated is not None:
            try:
                values = values_for(said, restated.moves)
            except (KeyError, LengthError) as fault:
                faults.append(f"The text keeps its own roundings: {fault}")
    how = {"decisions": decisions, "keep_original": keep_original}
    try:
        again = rewritten(text, grid, unit, values=values, **how)
    except ValueError as fault:
        faults.append(str(fault))
        again = rewritten(text, grid, unit, **how)
    return Conversion(
        grid=grid,
        rows=tuple(_text_row(replacement, grid) for replacement in again.replacements),
        card=said.card,
        card_words=said.why,
        regridded=restated,
        naive=naive,
        text=again,
        waiting=again.waiting,
        faults=tuple(faults),
    )


def _text_row(replacement: Replacement, grid: Grid) -> Row:
    exact = replacement.found.length or replacement.exact
    return Row(
        where=quoted(replacement.found.text),
        exact=exact,
        rounded=replacement.rounded,
        shift=replacement.shift,
        nearest=_other_nearest(grid, replacement.exact, replacement.rounded),
    )


def _other_nearest(grid: Grid, exact: Length, rounded: Length) -> Length | None:
    nearest = grid.nearest(exact)
    return nearest if mm(nearest) != mm(rounded) else None
