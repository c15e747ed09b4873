"""Handouts of the Tidewell cards, read back with general-purpose PDF libraries."""

import io
from functools import cache

import pdfplumber
import pikepdf
import pypdfium2
import pytest

from popkit.handout import handout_bytes
from popkit.recipe import Recipe
from tests.handout.cards import CARDS


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
