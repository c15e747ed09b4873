"""Bars and paper measured in the PDF, in points of 1/72 in (ISO 32000-1, 8.3.2.3)."""

import pytest

from popkit.card import Card, ClearFront, JoinedFront, Tier, stepped_tiers
from popkit.handout import handout_bytes

MM = 72 / 25.4


def bars(document):
    """Widths in millimetres of every filled rectangle 4 mm high, apart from parts of drawings."""
    return [
        (float(rect["width"]) / MM, page.page_number)
        for page in document.pages
        for rect in page.rects
        if abs(float(rect["height"]) / MM - 4) < 0.01 and rect["fill"] and rect["width"] > 60 * MM
    ]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize("name", ["clear", "cut"])
def test_the_bars_are_as_long_as_they_say(pdf, measured, name, paper, large_print):
    with measured(pdf(name, paper=paper, large_print=large_print)) as document:
        found = sorted(width for width, _ in bars(document))
    assert found == [pytest.approx(100, abs=0.01), pytest.approx(101.6, abs=0.01)]


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [
        ("A4", 210, 297),  # ISO 216:2007
        ("Letter", 215.9, 279.4),  # 8.5 x 11 in, ASME Y14.1
    ],
)
def test_the_page_is_the_paper_asked_for(pdf, measured, paper, width, height):
    with measured(pdf("clear", paper=paper)) as document:
        for page in document.pages:
            assert float(page.width) / MM == pytest.approx(width, abs=0.05)
            assert float(page.height) / MM == pytest.approx(height, abs=0.05)


@pytest.mark.parametrize(
    ("large_print", "least"),
    [
        (False, 14),  # RNIB Clear Print: 14 pt recommended
        (True, 18),  # large print: preferably 18 pt (Hampshire CC on RNIB guidance)
    ],
)
def test_running_text_is_as_large_as_clear_print_asks(pdf, measured, large_print, least):
    with measured(pdf("joined", large_print=large_print)) as document:
        sizes = [
            round(char["size"], 1)
            for page in document.pages
            for char in page.chars
            if char["upright"] and "DejaVuSans" in char["fontname"] and char["text"].strip()
        ]
    assert sum(size >= least - 0.05 for size in sizes) > 0.75 * len(sizes)
    # Labels in drawings: RNIB asks an x-height of 2 mm; DejaVu Sans has one of 0.547 em.
    assert min(sizes) * 0.547 / MM >= 2


@pytest.mark.parametrize("name", ["clear", "joined", "cut", "mixed"])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
def test_nothing_leaves_the_page(pdf, measured, name, paper, large_print):
    """Printers leave about 6 mm free (common practice, no source)."""
    with measured(pdf(name, paper=paper, large_print=large_print)) as document:
        stays_on_its_pages(document)


@pytest.mark.parametrize("large_print", [False, True], ids=["14 pt", "18 pt"])
@pytest.mark.parametrize(
    "card",
    [
        Card(width="40 mm", height="40 mm", tiers=(Tier(face="10 mm", depth="5 mm"),)),
        Card(width="1900 mm", height="60 mm", tiers=stepped_tiers("60 mm", 1), front=JoinedFront()),
        Card(width="30 mm", height="900 mm", tiers=stepped_tiers("900 mm", 2), front=ClearFront()),
        Card(width="6 in", height="9 in", tiers=stepped_tiers("9 in", 8), front=JoinedFront()),
    ],
    ids=["tiny", "a banner", "a slat", "eight tiers"],
)
def test_nor_does_it_for_an_odd_card(measured, card, large_print):
    with measured(handout_bytes(card, large_print=large_print)) as document:
        stays_on_its_pages(document)


def stays_on_its_pages(document):
    for page in document.pages:
        for one in [*page.chars, *page.lines, *page.rects, *page.curves]:
            if one.get("text", "x").strip():
                assert one["x0"] >= 6 * MM, one
                assert one["x1"] <= page.width - 6 * MM, one
                assert one["top"] >= 6 * MM, one
                assert one["bottom"] <= page.height - 6 * MM, one
        foot = page.height - 18 * MM  # only the line with the page number stands below
        below = [char for char in page.chars if char["top"] > foot and char["text"].strip()]
        assert len({round(char["bottom"]) for char in below}) == 1
