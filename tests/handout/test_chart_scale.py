"""Charts of small cards are drawn as large as the page takes them, in every language."""

import re
from fractions import Fraction

import pytest

from popkit.card import Card, ClearFront, CutStep, OnePieceFront, Tier, stepped_tiers
from popkit.handout.job import job
from popkit.handout.pictures import plans
from popkit.handout.student import student
from popkit.language import LANGUAGES
from popkit.lengths import mm
from popkit.pieces import cut_list
from tests.drawing.test_words_apart import check_words

TEXT_WIDTH = {"A4": 210 - 2 * 18, "Letter": 215.9 - 2 * 18}  # ISO 216, ANSI Y14.1; margins of 18 mm
SIZES = (
    ("1 1/2 in", "1 3/4 in"),
    ("50 mm", "60 mm"),
    ("2 in", "2 1/2 in"),
    ("2 1/2 in", "3 in"),
    ("3 in", "4 in"),
    ("5 in", "7 in"),
)


def _cards(width, height):
    for form, front in ((Tier, ClearFront()), (Tier, OnePieceFront()), (CutStep, OnePieceFront())):
        yield Card(width=width, height=height, tiers=stepped_tiers(height, 1, form=form), front=front)


def _scale(words):
    if found := re.search(r"1 : ([0-9]+)", words):
        return Fraction(1, int(found[1]))
    assert re.search("half size|halber Größe|halbe Größe", words), words
    return Fraction(1, 2)


@pytest.mark.parametrize("large_print", [False, True])
@pytest.mark.parametrize("language", sorted(LANGUAGES))
@pytest.mark.parametrize("size", SIZES, ids=" × ".join)
def test_no_card_is_drawn_smaller_than_it_must_be(size, language, large_print):
    """Half size, or smaller to save a page where the longest piece is still 30 mm long or more."""
    for card in _cards(*size):
        longest = max(mm(piece.length) for piece in cut_list(card))
        for paper, text_width in TEXT_WIDTH.items():
            data = student(job(card, paper=paper, language=language, large_print=large_print))
            scale = _scale(" ".join(data["legend"]))
            assert scale == Fraction(1, 2) or longest * scale >= 30
            for chart in data["charts"]:  # the page would make a wider one smaller, and its scale false
                assert chart["width"] <= text_width
                check_words(chart["svg"], ("cut", "valley", "mountain"))


def test_what_stands_over_a_piece_is_broken_into_lines_and_the_drawing_kept():
    card = next(_cards("1 1/2 in", "1 3/4 in"))
    pieces = [piece for piece in cut_list(card) if piece.scores]
    rulers = job(card, language="de").rulers
    wide, _ = plans(pieces, rulers, Fraction(1), (174.0, 174.0, 200.0))
    narrow, scale = plans(pieces, rulers, Fraction(1), (105.0, 174.0, 200.0))
    assert _scale(scale) == Fraction(1, 2)
    for one, other in zip(wide, narrow, strict=True):
        assert other.width_mm <= 105 < one.width_mm
        assert _lines(one.svg) == _lines(other.svg)
        assert _words(one.svg) == _words(other.svg)


def _words(svg):
    """All words but the points between notes, which end a line."""
    texts = re.findall("<text[^>]*>([^<]*)</text>", svg)
    return sorted(" ".join(texts).replace("·", " ").split())


def _lines(svg):
    """The piece and its glue areas, without the ground of the picture."""
    return [one for one in re.findall("<rect[^>]*>", svg) if "ground" not in one]
