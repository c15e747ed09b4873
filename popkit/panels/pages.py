"""What a notebook shows that does not move: a picture, and the same facts as text.

Imports: recipe, assembly, drawing, handout.
"""

from __future__ import annotations

import base64
import html

from popkit.assembly import cautions
from popkit.card import Card
from popkit.drawing import describe_pieces, draw_pieces
from popkit.handout import preview_pages
from popkit.lengths import Grid
from popkit.recipe import Recipe

__all__ = ["Pages", "Picture", "Text", "embedded", "legible", "pieces_picture", "safety"]


def embedded(data: bytes, kind: str, alt: str, width: str = "100%") -> str:
    """HTML for a picture that carries its own data, so that it shows before any kernel runs."""
    code = base64.b64encode(data).decode("ascii")
    return (
        f'<img src="data:{kind};base64,{code}" alt="{html.escape(alt, quote=True)}" '
        f'style="max-width:100%;width:{width};height:auto;background:#fff">'
    )


def legible(facts: str) -> str:
    """Facts for letters of one width, in which the fraction slash lies on its figures: 4 3/16 in."""
    return facts.replace("\N{FRACTION SLASH}", "/")


class Picture:
    """SVG text as a notebook shows it; its facts are the description inside."""

    def __init__(self, svg: str, facts: str, width: str = "100%") -> None:
        self.svg, self.facts, self.width = svg, legible(facts), width

    def _repr_html_(self) -> str:
        return embedded(self.svg.encode(), "image/svg+xml", self.facts, self.width)

    def __repr__(self) -> str:
        return f"Picture: {self.facts.splitlines()[0]}"


class Pages:
    """The first page of a handout as a picture; its facts are what is printed and on what.

    recipe, how  as for `popkit.handout.preview_pages`
    """

    def __init__(self, recipe: Recipe, **how: object) -> None:
        self.pages = preview_pages(recipe, **how)
        count = len(self.pages)
        paper = how.get("paper", "A4")
        edition = how.get("edition", "student")
        pages = f"{count} page{'s' * (count != 1)} on {paper}"
        self.facts = f"{recipe.title}, {edition} edition: {pages}, first page shown."

    def _repr_html_(self) -> str:
        # As HTML, since a bare PNG has no place for words that a screen reader could say.
        return embedded(self.pages[0], "image/png", self.facts, "auto")

    def __repr__(self) -> str:
        return f"Picture: {self.facts}"


class Text:
    """Lines of text that print as they are, and as paragraphs in a notebook."""

    def __init__(self, heading: str, lines: tuple[str, ...], note: str = "") -> None:
        self.heading, self.lines, self.note = heading, lines, note

    def _repr_html_(self) -> str:
        rows = "".join(f"<li>{html.escape(line)}</li>" for line in self.lines)
        note = f"<p><small>{html.escape(self.note)}</small></p>" if self.note else ""
        return f"<p><strong>{html.escape(self.heading)}</strong></p><ul>{rows}</ul>{note}"

    def __repr__(self) -> str:
        rows = "\n".join(f"- {line}" for line in self.lines)
        return f"{self.heading}\n{rows}" + (f"\n{self.note}" if self.note else "")


def pieces_picture(card: Card, ruler: Grid, other: Grid) -> Picture:
    """The pieces of a card at one scale, their facts the same in words."""
    grids = (ruler, other)
    return Picture(draw_pieces(card, grids=grids), describe_pieces(card, grids=grids))


def safety(card: Card) -> Text:
    """The cautions that go with a card, with where each is published."""
    told = cautions(card)
    unpublished = ("", "from memory", "common practice, no source")
    sources = dict.fromkeys(one.source for one in told if one.source not in unpublished)
    common = " The rest is common practice." if any(one.source in unpublished for one in told) else ""
    return Text(
        "Before anyone picks up a blade",
        tuple(f"{one.topic}: {one.text}" for one in told),
        f"Sources: {'; '.join(sources)}.{common}",
    )
