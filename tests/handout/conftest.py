"""Cards of the Tidewell workshops, and their handouts read back with general-purpose PDF libraries."""

import io
from functools import cache

import pdfplumber
import pikepdf
import pypdfium2
import pytest

from popkit.card import Card, ClearFront, CutStep, JoinedFront, OnePieceFront, Tier, stepped_tiers
from popkit.handout import handout_bytes
from popkit.recipe import Recipe

CARDS = {
    "clear": Card(
        width="5 in",
        height="7 in",
        tiers=tuple(Tier(face=face, depth="5/8 in") for face in ("3 5/8 in", "3 1/8 in", "2 5/8 in")),
        front=ClearFront(),
    ),
    "joined": Card(
        width="105 mm", height="148 mm", tiers=stepped_tiers("148 mm", 2), front=JoinedFront()
    ),
    "cut": Card(
        width="5 1/2 in",
        height="5 1/2 in",
        tiers=(CutStep(face="2 in", depth="1 in"), CutStep(face="1 in", depth="3/4 in")),
        front=OnePieceFront(),
    ),
    "mixed": Card(
        width="120 mm",
        height="120 mm",
        tiers=(CutStep(face="50 mm", depth="20 mm"), Tier(face="30 mm", depth="15 mm")),
        front=OnePieceFront(),
    ),
}


@cache
def _pdf(which: str, **asked: object) -> bytes:
    recipe = Recipe(
        title=f"Harbour steps, {which}",
        card=CARDS[which],
        series="Tidewell village hall",
        steps=("Bring a ruler.", "Leave the glue open no longer than you must."),
    )
    return handout_bytes(recipe, **asked)


@pytest.fixture(scope="session")
def pdf():
    """A function from the name of a card and what is asked to the bytes of its handout."""
    return _pdf


@pytest.fixture(scope="session")
def cards():
    return CARDS


@pytest.fixture
def opened():
    """A function from bytes to an open pikepdf document."""
    kept = []  # a part of a document lives no longer than the document

    def read(data: bytes) -> pikepdf.Pdf:
        kept.append(pikepdf.open(io.BytesIO(data)))
        return kept[-1]

    yield read
    for document in kept:
        document.close()


@pytest.fixture
def measured():
    """A function from bytes to an open pdfplumber document."""
    return lambda data: pdfplumber.open(io.BytesIO(data))


@pytest.fixture
def words():
    """A function from bytes to the text of all pages, as pdfium reads it."""

    def read(data: bytes) -> str:
        document = pypdfium2.PdfDocument(data)
        return "\n".join(page.get_textpage().get_text_range() for page in document)

    return read
