"""The pieces: the trade's own card, every zone and score in place, cut steps that fold flat."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from popkit.card import (
    Card,
    CardError,
    ClearFront,
    CutStep,
    JoinedFront,
    OnePieceFront,
    Tier,
)
from popkit.lengths import LengthError, Q, mm, parse_length
from popkit.papers import CLEAR_SHEET, LIGHT_CARD, MEDIUM_CARD
from popkit.pieces import Crease, Piece, Slit, Zone, cut_list
from tests.flatfold import Line, folds_flat_round, on_line, overlaps, vertices
from tests.strategies import cards

NO_SOURCE = "common practice, no source"


def trade_card(width="5 in", height="7 in", front=None) -> Card:
    """Three strips on half-inch shelves: sizes, faces and shelves alone; common practice, no source."""
    faces = ("3 1/2 in", "3 in", "2 1/2 in")
    return Card(
        width=width,
        height=height,
        front=front or ClearFront(),
        tiers=tuple(Tier(face=face, depth="1/2 in") for face in faces),
    )


def by_name(card: Card) -> dict[str, Piece]:
    return {piece.name: piece for piece in cut_list(card)}


def inches(*lengths: object) -> tuple[Fraction, ...]:
    return tuple(mm(length) * Fraction(5, 127) for length in lengths)


def typed(text: str) -> tuple[Fraction, ...]:
    """ "½, 1, 4 1/2" -> exact inches, written by hand."""
    return tuple(sum(Fraction(part) for part in one.split()) for one in text.split(",") if one.strip())


# The trade's card ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("front", "size", "name", "blank", "scores", "source"),
    [
        # clear front: back blank 5 x 8½ scored at 7, so the landing is 1½
        (ClearFront(), ("5 in", "7 in"), "back", "5, 8 1/2", "7", NO_SOURCE),
        (ClearFront(), ("5 in", "7 in"), "clear front", "5, 6 7/8", "", NO_SOURCE),
        # without acetate: 5 x 7½ scored at 7, plus a 5 x 7 panel
        (JoinedFront(), ("5 in", "7 in"), "back", "5, 7 1/2", "7", NO_SOURCE),
        (JoinedFront(), ("5 in", "7 in"), "front panel", "5, 7", "", NO_SOURCE),
        # one blank of twice the height, scored at half
        (OnePieceFront(), ("5 in", "7 in"), "back and front", "5, 14", "7", NO_SOURCE),
        # the same card made 6 x 6: landing 1½ again, sheet an eighth short of 6
        (ClearFront(), ("6 in", "6 in"), "back", "6, 7 1/2", "6", NO_SOURCE),
        (ClearFront(), ("6 in", "6 in"), "clear front", "6, 5 7/8", "", NO_SOURCE),
        (JoinedFront(), ("6 in", "6 in"), "back", "6, 6 1/2", "6", NO_SOURCE),
        (JoinedFront(), ("6 in", "6 in"), "front panel", "6, 6", "", NO_SOURCE),
    ],
)
def test_the_blanks_of_the_trades_card(front, size, name, blank, scores, source):
    piece = by_name(trade_card(*size, front=front))[name]
    assert inches(piece.width, piece.length) == typed(blank), source
    assert inches(*piece.scores) == typed(scores), source


@pytest.mark.parametrize("size", [("5 in", "7 in"), ("6 in", "6 in")])
@pytest.mark.parametrize("front", [ClearFront(), JoinedFront(), OnePieceFront()])
@pytest.mark.parametrize(
    ("name", "length", "scores", "source"),
    [
        ("tier 1", "5", "1/2, 1, 4 1/2", NO_SOURCE),
        ("tier 2", "4 1/2", "1/2, 1, 4", NO_SOURCE),
        ("tier 3", "4", "1/2, 1, 3 1/2", NO_SOURCE),
    ],
)
def test_the_strips_of_the_trades_card(size, front, name, length, scores, source):
    piece = by_name(trade_card(*size, front=front))[name]
    assert inches(piece.length) == typed(length), source
    assert inches(*piece.scores) == typed(scores), source
    assert [zone.name for zone in piece.zones] == ["top tab", "shelf", "face", "bottom tab"]
    assert [zone.glue for zone in piece.zones] == [True, False, False, True]
    # a little under the width of the card: a thirty-second each side
    assert inches(piece.width)[0] == inches(parse_length(size[0]))[0] - Fraction(1, 16)


def test_the_landing_carries_three_tabs_exactly():
    """1½ in of landing, three half-inch bottom tabs: common practice, no source."""
    pieces = by_name(trade_card())
    landing = pieces["back"].zones[1]
    assert (landing.name, landing.glue) == ("landing flap", True)
    tabs = [pieces[f"tier {number}"].zones[-1].length for number in (1, 2, 3)]
    assert sum(mm(tab) for tab in tabs) == mm(landing.length) == mm(parse_length("1 1/2 in"))


def test_pieces_come_in_the_order_they_are_used():
    """Back, front, then the tiers, largest first: common practice, no source."""
    for front, names in (
        (ClearFront(), ["back", "clear front"]),
        (JoinedFront(), ["back", "front panel"]),
        (OnePieceFront(), ["back and front"]),
    ):
        listed = [piece.name for piece in cut_list(trade_card(front=front))]
        assert listed == [*names, "tier 1", "tier 2", "tier 3"]


def test_what_each_piece_is_made_of():
    """Scored pieces fold with the grain (colorfxweb.com; coastpaper.com): it runs along the width."""
    card = Card(
        width="5 in",
        height="7 in",
        tiers=(Tier(face="3 in", depth="1/2 in"),),
        front=ClearFront(),
        stock=MEDIUM_CARD,
        tier_stock=LIGHT_CARD,
    )
    back, front, tier = cut_list(card)
    assert (back.stock, front.stock, tier.stock) == (MEDIUM_CARD, CLEAR_SHEET, LIGHT_CARD)
    assert (back.grain, front.grain, tier.grain) == ("width", None, "width")
    assert (back.count, front.count, tier.count) == (1, 1, 1)


def test_folds_go_towards_the_good_side_at_the_fold_and_away_from_it_on_a_strip():
    """The card closes on its good side; a strip is folded good side out. From the geometry."""
    back, _, tier, *_ = cut_list(trade_card())
    assert back.folds == ("valley",)
    assert tier.folds == ("mountain",) * 3
    for piece in (back, tier):
        assert [crease.position for crease in piece.creases] == list(piece.scores)
        assert [crease.fold for crease in piece.creases] == list(piece.folds)
        assert all((mm(crease.start), crease.stop) == (0, piece.width) for crease in piece.creases)


def test_a_gap_as_long_as_the_front_leaves_no_front_and_so_no_card():
    """The sheet of a 7 in front that starts at 7 in has no length: such a card cannot exist."""
    for gap, exists in (("6.9 in", True), ("7 in", False), ("8 in", False)):
        if exists:
            card = trade_card(front=ClearFront(gap=gap))
            assert inches(by_name(card)["clear front"].length) == (Fraction("0.1"),)
        else:
            with pytest.raises(CardError, match=f"clear front would start {gap} from the fold"):
                trade_card(front=ClearFront(gap=gap))
    with pytest.raises(CardError, match="past its own end: write a smaller gap"):
        trade_card(front=ClearFront(length="1/8 in"))  # the usual gap of 1/8 in


# Any card --------------------------------------------------------------------------------------------


@given(cards())
def test_zones_add_up_and_scores_stand_between_them(card):
    pieces = by_name(card)
    strips = [n for n, tier in enumerate(card.tiers, 1) if isinstance(tier, Tier)]
    panels = {"clear": ["clear front"], "joined": ["front panel"], "one-piece": []}[card.front.form]
    back = "back and front" if card.front.form == "one-piece" else "back"
    assert list(pieces) == [back, *panels, *(f"tier {number}" for number in strips)]
    for piece in pieces.values():
        ends = list(accumulate(mm(zone.length) for zone in piece.zones))
        assert ends[-1] == mm(piece.length)
        scores = [mm(score) for score in piece.scores]
        assert scores == sorted(set(scores))
        if not piece.slits:
            assert scores == ends[:-1]
        assert len(piece.folds) == len(scores)
        assert {mm(crease.position) for crease in piece.creases} <= set(scores)
        assert piece.grain == ("width" if piece.scores else None)
        assert {str(length.units) for length in (piece.width, piece.length, *piece.scores)} <= {
            str(card.height.units),
            str(card.width.units),
        }


@given(cards())
def test_every_piece_has_the_size_that_the_side_view_needs(card):
    """In pint's own arithmetic: back and flap, panel less gap, strip of four zones."""
    pieces, front = by_name(card), card.front
    height = card.height
    front_length = front.length if front.length is not None else height
    feet = sum((tier.depth for tier in card.tiers[1:]), card.tiers[0].depth)
    inch = str(height.units) == "inch"
    tab, gap = (
        (Q(Fraction(1, 2), "inch"), Q(Fraction(1, 8), "inch")) if inch else (Q(12, "mm"), Q(3, "mm"))
    )
    if isinstance(front, ClearFront):
        assert pieces["back"].length == height + (front.landing if front.landing is not None else feet)
        gap = front.gap if front.gap is not None else gap
        assert pieces["clear front"].length == front_length - gap
    elif isinstance(front, JoinedFront):
        tab = front.joining_tab if front.joining_tab is not None else tab
        assert pieces["back"].length == height + tab
        assert pieces["front panel"].length == front_length
    else:
        assert pieces["back and front"].length == height + front_length
    for number, tier in enumerate(card.tiers, 1):
        if isinstance(tier, Tier):
            piece = pieces[f"tier {number}"]
            assert piece.length == tier.top_tab + tier.depth + tier.face + tier.bottom_tab
            width = tier.width if tier.width is not None else card.width - 2 * card.side_inset
            assert piece.width == width
        else:
            assert f"tier {number}" not in pieces


# Cut steps ---------------------------------------------------------------------------------------------

Mm = Fraction


def lines(piece: Piece) -> tuple[list[Line], list[Line], list[Line]]:
    """Creases, slits and edges of a piece, x across and y from the top end, in millimetres."""
    wide, long = mm(piece.width), mm(piece.length)
    creases = [
        Line(
            (mm(crease.start), mm(crease.position)), (mm(crease.stop), mm(crease.position)), crease.fold
        )
        for crease in piece.creases
    ]
    slits = [
        Line((mm(slit.across), mm(slit.start)), (mm(slit.across), mm(slit.stop))) for slit in piece.slits
    ]
    corners = [(Mm(0), Mm(0)), (wide, Mm(0)), (wide, long), (Mm(0), long)]
    edges = [Line(a, b) for a, b in pairwise([*corners, corners[0]])]
    return creases, slits, edges


def steps_of(piece: Piece) -> list[tuple[Fraction, ...]]:
    """(left, right, top, foot) of every step, from its two slits."""
    sides = defaultdict(list)
    for slit in piece.slits:
        sides[mm(slit.start), mm(slit.stop)].append(mm(slit.across))
    return [(*sorted(across), *reach) for reach, across in sorted(sides.items())]


def test_one_box_step_by_hand():
    """A6 card, step 40 high and 25 deep, 60 wide. 148 - 40 = 108; 148 + 25 = 173; 173 - 40 = 133;
    (105 - 60) / 2 = 22.5.
    """
    card = Card(
        width="105 mm", height="148 mm", tiers=(CutStep(face="40 mm", depth="25 mm", width="60 mm"),)
    )
    (piece,) = cut_list(card)
    assert [mm(score) for score in piece.scores] == [108, 133, 148, 173]
    assert piece.folds == ("valley", "mountain", "valley", "valley")
    left, right = Mm("22.5"), Mm("82.5")
    assert set(lines(piece)[0]) == {
        Line((0, 148), (left, 148), "valley"),
        Line((right, 148), (105, 148), "valley"),
        Line((left, 108), (right, 108), "valley"),
        Line((left, 133), (right, 133), "mountain"),
        Line((left, 173), (right, 173), "valley"),
    }
    assert set(lines(piece)[1]) == {Line((left, 108), (left, 173)), Line((right, 108), (right, 173))}
    assert [mm(zone.length) for zone in piece.zones] == [148, 148]


def test_a_step_cut_across_the_foot_of_another_by_hand():
    """Step 2, 15 high and 10 deep, 40 wide, on the one above: its slits run from 173 - 15 = 158 to
    173 + 10 = 183, its edge is 183 - 15 = 168, and the foot of step 1 stops at them.
    """
    card = Card(
        width="105 mm",
        height="148 mm",
        tiers=(
            CutStep(face="40 mm", depth="25 mm", width="60 mm"),
            CutStep(face="15 mm", depth="10 mm", width="40 mm"),
        ),
    )
    (piece,) = cut_list(card)
    creases, slits, _ = lines(piece)
    inner = (Mm("32.5"), Mm("72.5"))
    assert {
        Line((inner[0], y), (inner[1], y), fold)
        for y, fold in ((158, "valley"), (168, "mountain"), (183, "valley"))
    } < set(creases)
    assert {
        Line((Mm("22.5"), 173), (inner[0], 173), "valley"),
        Line((inner[1], 173), (Mm("82.5"), 173), "valley"),
    } < set(creases)
    assert len(creases) == 2 + 2 + 2 + 3
    assert {Line((x, 158), (x, 183)) for x in inner} < set(slits)


def test_a_square_step_folds_at_the_line_of_the_card_itself():
    """As deep as it is high: its edge lies in line with the fold, a mountain between two valleys."""
    card = Card(width="100 mm", height="100 mm", tiers=(CutStep(face="30 mm", depth="30 mm"),))
    (piece,) = cut_list(card)
    assert [mm(score) for score in piece.scores] == [70, 100, 130]
    assert [crease.fold for crease in piece.creases if mm(crease.position) == 100] == [
        "valley",
        "valley",
        "mountain",
    ]
    creases, slits, _ = lines(piece)
    assert all(folds_flat_round(creases, slit) for slit in slits)


@given(cards(fronts=(OnePieceFront,), stepped=True))
def test_the_crease_pattern_folds_flat(card):
    """Kawasaki and Maekawa at every vertex, and round every slit, where the pattern has none."""
    piece = cut_list(card)[0]
    creases, slits, edges = lines(piece)
    for rays in vertices(creases, [*slits, *edges]).values():
        pytest.fail(f"a crease ends in the middle of the card: {rays}")
    assert len(slits) == 2 * sum(isinstance(tier, CutStep) for tier in card.tiers)
    for slit in slits:
        assert folds_flat_round(creases, slit)
    assert overlaps(creases) == []


@given(cards(stepped=True, cut_steps=True), st.data())
def test_a_crease_pattern_moved_by_a_millimetre_does_not_fold_flat(card, data):
    """The law above can fail: move any one crease of a step, and a slit beside it no longer folds."""
    creases, slits, _ = lines(cut_list(card)[0])
    place = data.draw(st.sampled_from(range(len(creases))))
    (x, y), (stop, _), fold = creases[place]
    shift = Mm(1, 100)
    creases[place] = Line((x, y + shift), (stop, y + shift), fold)
    assert not all(folds_flat_round(creases, slit) for slit in slits)


@given(cards(stepped=True, cut_steps=True))
def test_every_slit_ends_on_a_crease_and_every_crease_on_a_slit_or_the_edge(card):
    creases, slits, edges = lines(cut_list(card)[0])
    for slit in slits:
        for end in (slit.start, slit.stop):
            assert any(end in (crease.start, crease.stop) for crease in creases)
    for crease in creases:
        for end in (crease.start, crease.stop):
            assert any(on_line(end, cut) for cut in (*slits, *edges))
        for slit in slits:  # no slit cuts through a crease, only along its end
            across = crease.start[0] < slit.start[0] < crease.stop[0]
            assert not (across and slit.start[1] < crease.start[1] < slit.stop[1])


@given(cards(stepped=True, cut_steps=True))
def test_steps_lie_within_what_they_are_cut_from(card):
    piece = cut_list(card)[0]
    wide = mm(piece.width)
    inside = (Mm(0), wide)
    steps = steps_of(piece)
    assert len(steps) == len(card.tiers)
    for left, right, top, foot in steps:
        assert inside[0] < left < right < inside[1]
        assert left + right == wide  # in the middle
        assert 0 < top < foot < mm(piece.length)
        inside = (left, right)


@given(cards(stepped=True, cut_steps=True))
def test_no_card_is_won_or_lost_by_pushing_a_step_forward(card):
    """Shelf and face together are the strip between the slits, and each is as long as the tier says."""
    piece = cut_list(card)[0]
    creases, _, _ = lines(piece)
    area = Mm(0)
    for (left, right, top, foot), tier in zip(steps_of(piece), card.tiers, strict=True):
        (edge,) = [
            crease.start[1]
            for crease in creases
            if crease.fold == "mountain" and (crease.start[0], crease.stop[0]) == (left, right)
        ]
        assert edge - top == mm(tier.depth)
        assert foot - edge == mm(tier.face)
        area += (right - left) * (foot - top)
    shown = sum(
        mm(card.tier_width(number)) * (mm(tier.face) + mm(tier.depth))
        for number, tier in enumerate(card.tiers, 1)
    )
    assert area == shown


def test_a_step_as_wide_as_the_card_had_creases_of_no_length():
    """`checks` speaks of the step; its blank is drawn all the same, with real lines alone."""
    for width in ("100 mm", "120 mm"):
        card = Card(
            width="100 mm", height="100 mm", tiers=(CutStep(face="30 mm", depth="20 mm", width=width),)
        )
        (piece,) = cut_list(card)
        assert all(mm(crease.start) < mm(crease.stop) for crease in piece.creases)
        assert len(piece.creases) == 3


# What is refused ---------------------------------------------------------------------------------------


def faults_of(**fields: object) -> tuple[str, ...]:
    with pytest.raises(CardError) as caught:
        Piece(**({"name": "strip", "width": "5 in", "length": "4 in"} | fields))
    return caught.value.faults


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ({"width": "0 in"}, "strip: width “0 in”: is nothing"),
        ({"length": "4,5 in"}, "strip: length “4,5 in”: has a comma"),
        ({"scores": ("1 in", "x")}, "strip: score “x”: has no number"),
        ({"scores": ("0 in", "1 in")}, "strip: score “0 in”: is nothing"),
        ({"scores": ("2 in", "1 in")}, "strip: the scores do not rise"),
        ({"scores": ("1 in", "2 in", "2 in")}, "strip: the scores do not rise"),
        ({"scores": ("1 in", "4 in")}, "strip: a score lies off the piece"),
        ({"scores": ("1 in", "5 in")}, "strip: a score lies off the piece"),
        ({"scores": ("1 in",), "folds": ("valley", "valley")}, "strip: 1 scores but 2 folds"),
        ({"folds": ("valley",)}, "strip: 0 scores but 1 folds"),
        ({"scores": ("1 in",), "folds": ("up",)}, "strip: a fold is valley or mountain"),
        ({"count": 0}, "strip: the count is 0; write 1 or more"),
        ({"count": True}, "strip: the count is True"),
        ({"count": 1.0}, "strip: the count is 1.0"),
        ({"grain": "height"}, "strip: the grain is 'height'; write"),
        ({"stock": "vellum"}, "strip: stock “vellum”: is no stock we know"),
        (
            {"zones": (Zone(name="a", length="1 in"), Zone(name="b", length="2 in"))},
            "strip: the zones do not add up",
        ),
        (
            {"creases": (Crease(position="4 in", fold="valley", start="0 in", stop="5 in"),)},
            "strip: a crease lies off the piece",
        ),
        (
            {"slits": (Slit(across="1 in", start="1 in", stop="4.1 in"),)},
            "strip: a slit runs off the piece",
        ),
        (
            {"slits": (Slit(across="1 in", start="-1 in", stop="1 in"),)},
            "strip: a slit runs off the piece",
        ),
    ],
)
def test_each_fault_of_a_piece_is_told_alone(fields, fault):
    (said,) = faults_of(**fields)
    assert said.startswith(fault)


def test_the_last_score_and_zone_are_looked_at_too():
    (said,) = faults_of(scores=("1 in", "2 in", "3 in", "3 in"))
    assert "do not rise" in said
    zones = [Zone(name="one", length="1 in") for _ in range(3)]
    (said,) = faults_of(zones=(*zones, Zone(name="last", length="1.001 in")))
    assert "add up" in said
    whole = Piece(name="whole", width="5 in", length="4 in", zones=[*zones, zones[0]])
    assert len(whole.zones) == 4


def test_every_fault_of_a_piece_is_told_at_once():
    """It stopped at the first bad length, and never came to the rest."""
    faults = faults_of(
        width="0 in", length="x", scores=("y", "z"), stock="vellum", folds=("up",), count=0, grain="?"
    )
    told = [
        "width",
        "length",
        "score “y”",
        "score “z”",
        "stock",
        "2 scores",
        "a fold",
        "the count",
        "the grain",
    ]
    assert len(faults) == len(told)
    assert all(word in fault for fault, word in zip(faults, told, strict=True))
    rest = faults_of(scores=("4 in", "3 in"), zones=(Zone(name="a", length="1 in"),), count=0)
    assert len(rest) == 3


def test_lists_became_part_of_a_frozen_piece():
    piece = Piece(
        name="strip", width="5 in", length="4 in", scores=["1 in"], folds=["mountain"], zones=[]
    )
    assert hash(piece) == hash(
        Piece(name="strip", width="5 in", length="4 in", scores=("1 in",), folds=("mountain",))
    )
    assert (piece.scores, piece.folds, piece.zones) == ((parse_length("1 in"),), ("mountain",), ())


def test_a_line_has_a_beginning_before_its_end():
    for stop in ("1 in", "0 in", "-1 in"):
        with pytest.raises(CardError, match=r"A slit stops at .* not past where it starts"):
            Slit(across="1 in", start="1 in", stop=stop)
        with pytest.raises(CardError, match="A crease stops at"):
            Crease(position="1 in", fold="valley", start="1 in", stop=stop)
    with pytest.raises(CardError, match="A crease is 'up'; write valley or mountain"):
        Crease(position="1 in", fold="up", start="0 in", stop="1 in")
    with pytest.raises(LengthError, match="comma"):
        Slit(across="1,5 in", start="0 in", stop="1 in")
    with pytest.raises(LengthError, match="nothing"):
        Zone(name="tab", length="0 in")


def test_a_piece_with_scores_alone_is_folded_all_one_way_right_across():
    piece = Piece(name="strip", width="5 in", length="4 in", scores=("1 in", "3 in"))
    assert piece.folds == ("valley", "valley")
    assert [inches(crease.start, crease.stop) for crease in piece.creases] == [(0, 5), (0, 5)]
    assert (piece.stock, piece.grain, piece.count, piece.slits) == (None, None, 1, ())
