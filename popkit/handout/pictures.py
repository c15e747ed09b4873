"""Drawings made ready for a page: the SVG text, its size on paper, its alternative text.

`enlarge` makes the whole picture larger, words with it, while it still shows the card at the size
asked for: the words of a drawing are 10.5 pt, and a page may need them larger.

Imports: language, assembly, card, pieces, drawing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from popkit.assembly import Rulers
from popkit.card import Card
from popkit.drawing import (
    describe_finished,
    describe_piece,
    describe_side,
    draw_finished,
    draw_oblique,
    draw_piece,
    draw_side,
)
from popkit.drawing.flat import scale_words
from popkit.language import BRITISH, Language
from popkit.lengths import mm
from popkit.pieces import Piece

__all__ = ["Picture", "finished", "half_made", "picture_of", "plans", "side"]

_FINISHED = 46.0  # millimetres of the back
_SIDE = 44.0
_HALF_MADE = 22.0
_APART = 5.0
_UNDER = 18.0  # for the words of a picture that are not beside it
_FINE = 100
_SCALES = tuple(Fraction(1, under) for under in (2, 3, 4, 5, 6, 8, 10, 12, 16, 20))
_CLEAR = Fraction(1, 4)  # smaller only for a piece that would not fit a page
_LEAST = 30  # millimetres of the longest piece that are not drawn smaller to save a page


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One drawing.

    svg                  its text
    width_mm, height_mm  its size on paper, floats
    alt                  the same in words
    """

    svg: str
    width_mm: float
    height_mm: float
    alt: str


_SIZE = re.compile(r'<svg\b[^>]*?\swidth="([0-9.]+)mm"[^>]*?\sheight="([0-9.]+)mm"')


def picture_of(svg: str, alt: str, enlarge: Fraction) -> Picture:
    """A drawing with its size on paper, its SVG text enlarged so many times."""
    width, height = (float(side) * float(enlarge) for side in _SIZE.search(svg).groups())
    return Picture(svg=svg, width_mm=width, height_mm=height, alt=alt)


def finished(card: Card, rulers: Rulers) -> Picture:
    """The finished card as it stands."""
    svg = draw_finished(card, grids=rulers, page_mm=_FINISHED)
    what = rulers.language.say("The finished card.")
    return picture_of(svg, f"{what} {describe_finished(card, grids=rulers)}", Fraction(1))


def side(card: Card, rulers: Rulers, enlarge: Fraction) -> Picture:
    """The card from the side, open to a right angle."""
    svg = draw_side(card, 90, grids=rulers, page_mm=_SIDE / float(enlarge))
    return picture_of(svg, describe_side(card, 90, grids=rulers), enlarge)


def half_made(card: Card, tiers: int, language: Language = BRITISH) -> Picture:
    """The card with only so many tiers, from the back."""
    svg = draw_oblique(card, 90, names=False, tiers=tiers, page_mm=_HALF_MADE)
    standing = language.listed(language.name(f"tier {number}") for number in range(1, tiers + 1))
    alt = (
        language.say("The card after this step, with {tiers}.", tiers=standing)
        if tiers
        else language.say("The card with no tier yet.")
    )
    return picture_of(svg, alt, Fraction(1))


def plans(
    pieces: Sequence[Piece], rulers: Rulers, enlarge: Fraction, room: tuple[float, float, float]
) -> tuple[list[Picture], str]:
    """Pieces flat on the board, all at one scale, the largest that takes the fewest pages; to save a
    page no set of pieces is drawn with its longest under 30 mm.

    What stands over a piece is broken into lines, so that it is the drawing alone that has to fit.

    room  millimetres of width for a picture with words beside it, of width and of height of a page
    Returns: the pictures, and the scale in words.
    """
    beside, whole, height = room
    best: tuple[Fraction, list[Picture]] | None = None
    fewest = float("inf")
    longest = max((mm(side) for piece in pieces for side in (piece.width, piece.length)), default=0)
    for scale in _SCALES:
        if fewest < _FINE and (scale < _CLEAR or longest * scale < _LEAST):
            break
        pictures = [_plan(piece, rulers, enlarge, scale, beside) for piece in pieces]
        if any(
            picture.width_mm > whole >= picture.width_mm - float(mm(piece.width) * scale)
            for piece, picture in zip(pieces, pictures, strict=True)
        ):
            continue  # a smaller scale can narrow it
        pages = _pages([one.height_mm + _UNDER * (one.width_mm > beside) for one in pictures], height)
        if pages < fewest:
            best, fewest = (scale, pictures), pages
        if fewest <= 1:
            break
    scale, pictures = best or (scale, pictures)
    return pictures, scale_words(scale, rulers.language)


def _plan(piece: Piece, rulers: Rulers, enlarge: Fraction, scale: Fraction, widest: float) -> Picture:
    svg = draw_piece(
        piece,
        grids=rulers,
        scale=scale / enlarge,
        key=False,
        says_scale=False,
        widest_mm=widest / float(enlarge),
    )
    return picture_of(svg, describe_piece(piece, grids=rulers, scale=scale), enlarge)


def _pages(heights: Sequence[float], room: float) -> float:
    """Pages that pictures of these heights take in their order; a fine for one that does not fit."""
    pages, left = 0.0, 0.0
    for tall in heights:
        if tall + _APART > left:
            pages, left = pages + 1, room
        left -= tall + _APART
    return pages + _FINE * sum(tall > room for tall in heights)
