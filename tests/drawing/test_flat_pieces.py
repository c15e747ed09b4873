"""A drawn piece is the piece: outlines, scores, slits and zones parsed back from the SVG."""

import itertools
from fractions import Fraction

import pytest
import shapely

import popkit as pk
from popkit.drawing import describe_piece, describe_pieces, draw_piece, draw_pieces
from popkit.lengths import mm
from tests.drawing.drawing_samples import cut_step_card, random_cards, read_svg, tutor_card, words

NEAR = 1e-6  # mm
CARDS = [tutor_card(), cut_step_card(), cut_step_card(4), *random_cards(40, seed=7)]
SCALES = (Fraction(1), Fraction(1, 3))


def _in(shapes, kind, tag):
    return [shape.geometry for shape in shapes if shape.is_in(kind) and shape.tag == tag]


@pytest.mark.parametrize("scale", SCALES, ids=["full", "third"])
@pytest.mark.parametrize("card", CARDS, ids=range(len(CARDS)))
def test_the_lines_of_every_piece_are_true_to_scale(card, scale):
    for piece in pk.cut_list(card):
        shapes = read_svg(draw_piece(piece, scale=scale))
        wide, long = float(mm(piece.width) * scale), float(mm(piece.length) * scale)
        (outline,) = _in(shapes, "cut", "rect")
        assert outline.bounds == pytest.approx((0, 0, wide, long), abs=NEAR)
        slits = {tuple(line.coords) for line in _in(shapes, "cut", "line")}
        assert len(slits) == len(piece.slits)
        for slit in piece.slits:
            x, y1, y2 = (float(mm(at) * scale) for at in (slit.across, slit.start, slit.stop))
            assert any(
                ends == (pytest.approx((x, y1), abs=NEAR), pytest.approx((x, y2), abs=NEAR))
                for ends in slits
            )
        for fold in ("valley", "mountain"):
            creases = [crease for crease in piece.creases if crease.fold == fold]
            drawn = _in(shapes, fold, "line")
            assert len(drawn) == len(creases)
            for crease, line in zip(creases, drawn, strict=True):
                y, x1, x2 = (
                    float(mm(at) * scale) for at in (crease.position, crease.start, crease.stop)
                )
                assert list(line.coords) == [
                    pytest.approx((x1, y), abs=NEAR),
                    pytest.approx((x2, y), abs=NEAR),
                ]


@pytest.mark.parametrize("card", CARDS, ids=range(len(CARDS)))
def test_hatched_areas_are_the_glue_zones(card):
    for piece in pk.cut_list(card):
        hatched = _in(read_svg(draw_piece(piece)), "glue", "rect")
        hatched = [area for area in hatched if area.bounds[3] <= float(mm(piece.length)) + NEAR]
        glued = [zone for zone in piece.zones if zone.glue]
        assert [area.area for area in hatched] == pytest.approx(
            [float(mm(zone.length) * mm(piece.width)) for zone in glued], abs=1e-3
        )
        assert [area.bounds[3] - area.bounds[1] for area in hatched] == pytest.approx(
            [float(mm(zone.length)) for zone in glued], abs=NEAR
        )


def test_the_blank_of_a_clear_front_card_in_millimetres():
    # common practice, no source: a 5 x 7 in card has its back cut 5 x 8 1/2 in and scored at 7 in.
    back = pk.cut_list(tutor_card())[0]
    shapes = read_svg(draw_piece(back))
    (outline,) = _in(shapes, "cut", "rect")
    (score,) = _in(shapes, "valley", "line")
    assert outline.bounds == pytest.approx((0, 0, 127.0, 215.9), abs=NEAR)  # 25.4 mm to the inch
    assert score.coords[0][1] == pytest.approx(177.8, abs=NEAR)


def test_a_valley_is_dashed_a_mountain_dash_dotted_a_cut_solid():
    # Yoshizawa-Randlett convention (Yoshizawa 1954, Randlett 1961): dash; dash and dot; solid edge.
    shapes = read_svg(draw_piece(pk.cut_list(cut_step_card())[0]))
    dashes = {
        kind: {
            shape.attributes.get("stroke-dasharray")
            for shape in shapes
            if shape.is_in(kind) and shape.tag in ("line", "rect")
        }
        for kind in ("cut", "valley", "mountain")
    }
    assert dashes["cut"] == {None}
    ((dash, gap),) = [tuple(map(float, text.split())) for text in dashes["valley"]]
    assert dash > gap
    ((long, gap, dot, other),) = [tuple(map(float, text.split())) for text in dashes["mountain"]]
    assert long > 4 * dot
    assert gap == other


def test_dashes_are_those_of_no_other_kind_even_in_one_ink():
    shapes = read_svg(draw_piece(pk.cut_list(cut_step_card())[0]))
    inks = {
        shape.attributes["stroke"]
        for shape in shapes
        if shape.kinds and shape.kinds[0] in ("cut", "valley", "mountain")
    }
    assert len(inks) == 1  # the kind of line says it all, no colour does


def _readings(svg):
    """Every length written in the picture, read back."""
    found = []
    for shape in words(read_svg(svg)):
        if shape.text.endswith((" in", " mm")):
            found.append(pk.parse_length(shape.text))
    return found


@pytest.mark.parametrize("card", CARDS, ids=range(len(CARDS)))
def test_every_score_and_both_sizes_are_written_on_both_rulers(card):
    for piece in pk.cut_list(card):
        written = _readings(draw_piece(piece))
        for unit, grid in (("inch", pk.Grid("1/16 in")), ("millimeter", pk.Grid("1 mm"))):
            shown = {mm(length) for length in written if str(length.units) == unit}
            for wanted in (*piece.scores, piece.length, piece.width):
                assert mm(grid.nearest(wanted)) in shown


def test_a_length_too_small_for_a_ruler_is_not_written_as_nothing():
    piece = pk.Piece(name="shim", width="0.2 mm", length="60 mm")
    texts = [shape.text for shape in words(read_svg(draw_piece(piece, grids=("1 mm", "1/16 in"))))]
    assert "0.2 mm" in texts
    assert not any(text.startswith("0 ") for text in texts)


@pytest.mark.parametrize("scale", SCALES, ids=["full", "third"])
def test_every_zone_is_named(scale):
    for card in CARDS:
        for piece in pk.cut_list(card):
            texts = [shape.text for shape in words(read_svg(draw_piece(piece, scale=scale)))]
            for zone in piece.zones:
                assert zone.name in texts
            assert {"top end", "grain"} & set(texts) >= {"top end"}
            assert ("grain" in texts) == (piece.grain is not None)
            assert any("good side up" in text for text in texts)


def test_names_of_tiny_zones_stand_beside_the_piece_in_order():
    piece = pk.Piece(
        name="narrow strip",
        width="30 mm",
        length="12 mm",
        scores=("3 mm", "6 mm", "9 mm"),
        zones=tuple(
            pk.Zone(name=name, length="3 mm", glue=name.endswith("tab"))
            for name in ("top tab", "shelf", "face", "bottom tab")
        ),
        grain="width",
    )
    shapes = words(read_svg(draw_piece(piece)))
    names = [shape for shape in shapes if shape.text in ("top tab", "shelf", "face", "bottom tab")]
    assert [shape.text for shape in sorted(names, key=lambda shape: shape.geometry.bounds[1])] == [
        "top tab",
        "shelf",
        "face",
        "bottom tab",
    ]
    assert all(shape.geometry.bounds[0] > 30 for shape in names)


def test_the_grain_arrow_lies_along_the_grain():
    for grain, flat in (("width", True), ("length", False)):
        piece = pk.Piece(name="panel", width="120 mm", length="160 mm", grain=grain)
        lines = [
            shape.geometry
            for shape in read_svg(draw_piece(piece))
            if shape.kinds == ("names",) and shape.tag == "line"
        ]
        (arrow,) = lines
        (x1, y1), (x2, y2) = arrow.coords
        assert (y1 == y2) is flat
        assert (x1 == x2) is not flat


def test_parts_of_cut_steps_are_named_on_the_part_itself():
    card = cut_step_card()
    shapes = read_svg(draw_piece(pk.cut_list(card)[0]))
    named = {shape.text: shape.geometry for shape in words(shapes)}
    # From the side view: step i's shelf edge lies its face above its foot, X_i = d_1 + ... + d_i.
    for number, (foot, tier) in enumerate(zip(card.feet_mm, card.tiers, strict=True), 1):
        edge = float(mm(card.height) + foot - mm(tier.face))
        shelf, face = named[f"tier {number} shelf"], named[f"tier {number} face"]
        assert edge - float(mm(tier.depth)) < shelf.bounds[1] < shelf.bounds[3] < edge
        assert edge < face.bounds[1] < face.bounds[3] < edge + float(mm(tier.face))


def test_one_sheet_shows_every_piece_at_one_scale():
    card = tutor_card()
    pieces = pk.cut_list(card)
    shapes = read_svg(draw_pieces(card, scale=Fraction(1, 4)))
    outlines = [shape.geometry for shape in shapes if shape.is_in("cut") and shape.tag == "rect"]
    sizes = [(box.bounds[2] - box.bounds[0], box.bounds[3] - box.bounds[1]) for box in outlines]
    assert sizes == [
        pytest.approx((float(mm(piece.width)) / 4, float(mm(piece.length)) / 4), abs=2 * NEAR)
        for piece in pieces
    ]
    for one, other in itertools.pairwise(outlines):
        assert not one.intersects(other)
    assert len([shape for shape in words(shapes) if shape.text == "cut"]) == 1  # one key for all


def test_a_sheet_keeps_to_its_width_where_the_pieces_allow():
    svg = draw_pieces(tutor_card(), width_mm=240)
    left, _, right, _ = shapely.unary_union([shape.geometry for shape in read_svg(svg)[1:]]).bounds
    assert right - left <= 240 + 1e-3


def test_words_for_the_picture_say_what_it_shows():
    strip = pk.cut_list(tutor_card())[2]
    text = describe_piece(strip)
    # common practice, no source: the largest tier of a 5 x 7 in card is scored at 1/2, 1, 4 1/2 in.
    for said in ("½ in", "1 in", "4½ in", "5 in", "top tab", "glue", "mountain", "full size"):
        assert said in text
    assert describe_pieces(tutor_card()).count("\n\n") == 4


@pytest.mark.parametrize("scale", [0, -1, "0"])
def test_a_scale_must_be_above_nothing(scale):
    with pytest.raises(ValueError, match="write a number above 0"):
        draw_piece(pk.cut_list(tutor_card())[0], scale=scale)
