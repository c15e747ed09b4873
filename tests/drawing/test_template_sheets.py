"""Every sheet of the template for random cards: nothing clipped, no words that meet, nothing lost.

The pictures are read back with ElementTree and shapely, words on the font's own outlines.
"""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

import popkit as pk
from popkit.drawing.lettering import Readings
from popkit.handout.job import job
from popkit.handout.template import template
from popkit.handout.template_drawing import OVERLAP
from popkit.handout.template_pages import Room, arranged
from tests.drawing.drawing_samples import (
    cut_step_card,
    random_cards,
    read_svg,
    tutor_card,
    view_box,
    words,
)
from tests.strategies import cards

LINES = ("cut", "valley", "mountain")


def strokes_of(shapes):
    return [shape.geometry for shape in shapes if shape.tag == "line" and any(map(shape.is_in, LINES))]


def check_sheet(svg):
    shapes = read_svg(svg)
    texts, page = words(shapes), view_box(svg)
    boxes = [text.geometry for text in texts]
    for one, other in zip(*shapely.STRtree(boxes).query(boxes, "intersects"), strict=True):
        assert one == other, f"{texts[one].text!r} meets {texts[other].text!r}"
    for text in texts:
        assert page.contains(text.geometry), f"{text.text!r} runs off the sheet"
    plates = [shape.geometry for shape in shapes if shape.tag == "rect" and shape.is_in("names")]
    for stroke in strokes_of(shapes):
        assert not any(plate.buffer(0.2).intersects(stroke) for plate in plates), "a line is covered"
        assert page.buffer(-0.25).buffer(1e-6).covers(stroke), "a line runs off the sheet"
        for text in texts:
            assert not text.geometry.intersects(stroke), f"{text.text!r} is crossed"


def check_card(card, **asked):
    data = template(job(card, **asked))
    for sheet in data["sheets"]:
        check_sheet(sheet["picture"]["svg"])
        frame = view_box(sheet["picture"]["svg"]).bounds
        assert frame[:2] == (0, 0)
        wide, tall = (sheet["picture"][side] for side in ("width", "height"))
        assert (wide, tall) == pytest.approx(frame[2:], abs=1e-6)  # one unit is one millimetre
    for one in [data["key"], *data["maps"]]:
        boxes = [text.geometry for text in words(read_svg(one["svg"]))]
        for a, b in zip(*shapely.STRtree(boxes).query(boxes, "intersects"), strict=True):
            assert a == b
    return data


FEW = settings(max_examples=max(10, settings().max_examples // 6), deadline=None)
"""A whole template takes as long as twenty other cases."""


@FEW
@given(
    card=cards(most_tiers=4),
    paper=st.sampled_from(["A4", "Letter"]),
    large=st.booleans(),
)
def test_no_word_meets_another_or_a_line(card, paper, large):
    check_card(card, paper=paper, large_print=large)


def test_a_mark_does_not_fall_on_a_score_where_the_usual_tiles_would_join():
    """A blank of 14 in on A4: two tiles join within 17 mm of its only scores, so it takes three."""
    step = pk.CutStep(face="1/10 in", depth="1/10 in", width="1/10 in")
    card = pk.Card(width="2.4 in", height="7 in", tiers=(step,), front=pk.OnePieceFront())
    check_card(card, paper="A4")


@pytest.mark.parametrize("number", range(0, 200, 25))
def test_nor_for_cards_of_every_size(number):
    check_card(random_cards(200)[number], large_print=number % 50 == 0)


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("card", [tutor_card(), cut_step_card()], ids=["strips", "cut steps"])
def test_the_usual_cards(card, large):
    data = check_card(card, large_print=large)
    told = " ".join(text for sheet in data["sheets"] for text in shown(sheet))
    for piece in pk.cut_list(card):
        assert piece.name in told
        for zone in piece.zones:
            assert zone.name in told


def shown(sheet):
    return [text.text for text in words(read_svg(sheet["picture"]["svg"]))]


def test_the_check_sees_a_word_that_is_crossed():
    svg = template(job(cut_step_card()))["sheets"][0]["picture"]["svg"]
    x, y = re.search(r'<text x="([\d.]+)" y="([\d.]+)"', svg).groups()
    line = f'<g class="cut"><line x1="1" y1="{float(y) - 1}" x2="150" y2="{float(y) - 1}"/></g>'
    with pytest.raises(AssertionError, match="crossed"):
        check_sheet(svg.replace("</svg>", line + "</svg>"))
    assert float(x) > 0


# Arrangement --------------------------------------------------------------------

UPRIGHT = Room(flipped=False, width=180.0, whole=240.0, tile=225.0)
FLIPPED = Room(flipped=True, width=266.0, whole=155.0, tile=140.0)


@FEW
@given(cards(most_tiers=4))
def test_every_piece_is_there_once_and_whole(card):
    """Windows cover each piece, neighbours share the stated overlap, nothing lies on anything."""
    pieces = pk.cut_list(card)
    shown = Readings.of(card.height)
    sheets, tilings = arranged(pieces, shown, 4.94, UPRIGHT, FLIPPED)
    assert [sheet.number for sheet in sheets] == list(range(1, len(sheets) + 1))
    windows = {piece.name: [] for piece in pieces}
    for sheet in sheets:
        tall = sheet.room.tile if sheet.tile is not None else sheet.room.whole
        grounds = []
        for plate, x, y in sheet.placed:
            windows[plate.piece.name].append([float(side) for side in plate.window])
            wide, long = plate.size
            ground = shapely.box(x, y, x + wide, y + long)
            assert shapely.box(0, 0, sheet.room.width, tall).contains(ground)
            assert not any(ground.intersects(other) for other in grounds)
            grounds.append(ground)
    tiled = {tiling.piece.name: tiling for tiling in tilings}
    for piece in pieces:
        sides = (float(side.to("millimeter").magnitude) for side in (piece.width, piece.length))
        whole = shapely.box(0, 0, *sides)
        boxes = [shapely.box(*window) for window in windows[piece.name]]
        assert shapely.union_all(boxes).symmetric_difference(whole).area < 1e-6
        assert (len(boxes) > 1) == (piece.name in tiled)
        columns = sorted({(left, right) for left, _, right, _ in windows[piece.name]})
        rows = sorted({(top, bottom) for _, top, _, bottom in windows[piece.name]})
        for spans in (columns, rows):
            for (_, end), (start, _) in pairwise(spans):
                assert end - start == pytest.approx(float(OVERLAP))
        assert len(boxes) == len(columns) * len(rows)


def test_small_pieces_share_a_sheet():
    """Six pieces of 80 x 70 mm need one sheet of 180 x 240 mm: two beside each other, three rows."""
    pieces = [pk.Piece(name=f"card {number}", width="80 mm", length="70 mm") for number in range(6)]
    sheets, tilings = arranged(pieces, Readings.of(pk.Q(1, "millimeter")), 4.94, UPRIGHT, FLIPPED)
    assert len(sheets) == 1
    assert not tilings


def test_a_piece_as_large_as_the_sheet_stays_whole():
    full = pk.Piece(name="full", width="178 mm", length="238 mm")
    more = pk.Piece(name="more", width="178 mm", length="238.1 mm")
    for piece, count in ((full, 1), (more, 2)):
        sheets, _ = arranged([piece], Readings.of(piece.width), 4.94, UPRIGHT, FLIPPED)
        assert len(sheets) == count


def test_a_wide_piece_has_a_sheet_on_its_side():
    wide = pk.Piece(name="wide", width="264 mm", length="100 mm")
    (sheet,), _ = arranged([wide], Readings.of(wide.width), 4.94, UPRIGHT, FLIPPED)
    assert sheet.room.flipped


def test_a_seam_keeps_off_a_score():
    """A score just where the even seam would be: no line of the piece lies along the overlap."""
    even = (400 - 15) / 2
    piece = pk.Piece(name="long", width="150 mm", length="400 mm", scores=(f"{even + 7} mm",))
    _, (tiling,) = arranged([piece], Readings.of(piece.width), 4.94, UPRIGHT, FLIPPED)
    (seam,) = tiling.along
    assert not float(seam) - 1 <= even + 7 <= float(seam + OVERLAP) + 1


def test_long_names_are_broken_and_stay_on_the_sheet():
    name = "a mat for the message panel inside " * 4 + "x" * 60
    for size in ("20 mm", "170 mm"):
        piece = pk.Piece(name=name, width=size, length="30 mm")
        sheets, _ = arranged([piece], Readings.of(piece.width), 4.94, UPRIGHT, FLIPPED)
        ((plate, _, _),) = sheets[0].placed
        assert plate.size[0] < 180
