"""The front door: what the kit does, in one screen of pictures.

Imports: lengths, card, recipe, pieces, drawing, and pages.
"""

from __future__ import annotations

import html
from dataclasses import dataclass
from fractions import Fraction

from popkit.card import usual
from popkit.drawing import (
    describe_oblique,
    describe_piece,
    describe_side,
    draw_oblique,
    draw_piece,
    draw_side,
)
from popkit.panels.pages import Picture
from popkit.pieces import cut_list
from popkit.recipe import Recipe

__all__ = ["Gallery", "Shown", "front_door"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One picture of a gallery: a heading, a sentence, the picture with its facts."""

    title: str
    says: str
    picture: Picture


class Gallery:
    """Pictures side by side, each with a heading and a sentence; as text, the same in words."""

    def __init__(self, *shown: Shown) -> None:
        self.shown = shown

    @property
    def facts(self) -> str:
        """What every picture shows, in words."""
        return "\n\n".join(f"{one.title}. {one.says}\n{one.picture.facts}" for one in self.shown)

    def __repr__(self) -> str:
        return "\n".join(f"Picture: {one.title}. {one.says}" for one in self.shown)

    def _repr_html_(self) -> str:
        figures = "".join(
            '<figure style="flex:1 1 40%;min-width:18em;margin:0">'
            f"{one.picture._repr_html_()}"
            f"<figcaption><strong>{html.escape(one.title)}.</strong> {html.escape(one.says)}"
            "</figcaption></figure>"
            for one in self.shown
        )
        return f'<div style="display:flex;flex-wrap:wrap;gap:16px;align-items:flex-end">{figures}</div>'


def front_door(recipe: Recipe) -> Gallery:
    """What the kit does with a recipe: show it, cut it, see it hide, see it jam."""
    card = recipe.card
    piece = next(one for one in cut_list(card) if one.name == "tier 1")
    slips = {1: usual("mark", card.unit)}
    return Gallery(
        Shown(
            title="Design it",
            says="Type any finished size; the card is drawn as you type, at every opening.",
            picture=Picture(
                draw_oblique(card, 100.0, page_mm=56.0), describe_oblique(card, 100.0), "62%"
            ),
        ),
        Shown(
            title="Cut and score it",
            says="Every piece true to size, with its folds and glue areas, in both units.",
            picture=Picture(
                draw_piece(piece, scale=Fraction(1, 2), key=False),
                describe_piece(piece, scale=Fraction(1, 2)),
                "66%",
            ),
        ),
        Shown(
            title="See that it hides",
            says="Nothing may pass the edge when it is closed: the bars show how far each tier reaches.",
            picture=Picture(draw_side(card, 60.0, page_mm=64.0), describe_side(card, 60.0), "68%"),
        ),
        Shown(
            title="See what goes wrong",
            says="One foot glued a mark off, and the card jams. Better seen here than in the class.",
            picture=Picture(
                draw_side(card, 180.0, slips, page_mm=48.0), describe_side(card, 180.0, slips)
            ),
        ),
    )
