"""From one ruler to another: a pasted text or a recipe, restated so that its mechanism holds.

Puts together what `wording` finds in a text, the card it tells to make, that card `regrid`ded,
and what rounding number by number would have done, with the reason for every change. Nothing
here knows of a notebook.

Imports: lengths, card, folding, regridding, wording.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from types import MappingProxyType

from popkit.card import Card
from popkit.lengths import Grid, Length, LengthError, as_grid, mm, quoted, show_exact
from popkit.regridding import NumberByNumber, Regridded, RegridError, number_by_number, regrid
from popkit.wording import Found, Rewritten, card_in, find_lengths, rewritten, values_for
from popkit.wording.rewriting import Replacement

__all__ = [
    "UNTITLED",
    "Conversion",
    "Row",
    "Stretch",
    "converted_card",
    "converted_text",
    "jam_angle",
    "signed",
    "title_in",
]

UNTITLED = "A card of my own"
_TITLE = 80  # characters that a recipe's title may have


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Some words of a text: plain, or a length that was restated, or a place to decide.

    row    which of `Conversion.rows` it is, from 0, or None
    place  the doubtful place it is, or None
    """

    words: str
    row: int | None = None
    place: Found | None = None


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
        return (*self._by_numbers(), *self._as_a_card())

    def _by_numbers(self) -> Iterator[str]:
        if self.naive is None:
            return
        broken = [broke.message for broke in self.naive.breaks]
        angle = jam_angle(self.naive)
        if angle is not None and angle < FLAT:
            broken.append(f"The whole card stops at {angle:.0f}°.")
        yield "Number by number: " + (" ".join(broken) or "nothing breaks.")

    def _as_a_card(self) -> Iterator[str]:
        if self.regridded is None:
            return
        yield f"Restated as a card: {self.regridded}"
        yield "The foot of every tier equals its shelf, so it closes flat and opens flat."
        yield from (finding.message for finding in self.regridded.fresh)
        yield from self.regridded.notes

    @property
    def original(self) -> tuple[Stretch, ...]:
        """The text as it was, or the cut list of the card as it was, in stretches."""
        if self.text is None:
            return tuple(self._cut_list("exact"))
        places = [
            (now.found.start, now.found.stop, number, None)
            for number, now in enumerate(self.text.replacements)
        ]
        places += [(place.start, place.stop, None, place) for place in self.waiting]
        return tuple(_stretches(self.text.source, places))

    @property
    def restated(self) -> tuple[Stretch, ...]:
        """The text as it is now, or the cut list of the card as it is now, in stretches."""
        if self.text is None:
            return tuple(self._cut_list("rounded"))
        places = [
            (now.start, now.stop, number, None) for number, now in enumerate(self.text.replacements)
        ]
        places += [(kept.start, kept.stop, None, kept.found) for kept in self.text.kept if kept.waiting]
        return tuple(_stretches(self.text.text, places))

    @property
    def words(self) -> str:
        """The text as it is now, or the cut list of the card as it is now."""
        return "".join(stretch.words for stretch in self.restated)

    def _cut_list(self, which: str) -> Iterator[Stretch]:
        """A line for each piece: its size, then where it is scored and slit."""
        moves = self.regridded.moves if self.regridded is not None else ()
        for piece, numbered in groupby(enumerate(moves), lambda pair: pair[1].piece):
            yield Stretch(words=f"{piece}: ")
            for number, move in numbered:
                yield Stretch(words=_BEFORE.get(move.mark, f", {move.mark} at "))
                yield Stretch(words=show_exact(getattr(self.rows[number], which)), row=number)
            yield Stretch(words="\n")

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


_BEFORE = MappingProxyType({"width": "", "length": " × "})
FLAT = 179.95
"""Degrees past which an opening is printed as 180."""


def _stretches(
    text: str, places: Iterable[tuple[int, int, int | None, Found | None]]
) -> Iterator[Stretch]:
    done = 0
    for start, stop, row, place in sorted(places, key=lambda at: at[0]):
        if done < start:
            yield Stretch(words=text[done:start])
        yield Stretch(words=text[start:stop], row=row, place=place)
        done = stop
    if done < len(text):
        yield Stretch(words=text[done:])


def title_in(text: str) -> str:
    """A title for the card of a text: its first line, cut to what a recipe's title may have."""
    lines = (" ".join(line.split()) for line in text.splitlines())
    line = next((line for line in lines if line and line.isprintable()), UNTITLED)
    return line if len(line) <= _TITLE else line[: _TITLE - 1].rsplit(" ", 1)[0] + "…"


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
    how = {"decisions": decisions, "keep_original": keep_original, "mend_articles": True}
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
