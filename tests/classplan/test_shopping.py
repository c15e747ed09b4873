"""What a class takes beside its sheets: packs, tape, glue, money, bags and hours, worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import ceil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import popkit as pk
from popkit.assembly import materials
from popkit.card import Layer, Ornament
from popkit.classplan.classes import plan_class
from popkit.classplan.growth import class_sizes, shared_out
from popkit.classplan.kits import joints, kits_of, pads_of
from popkit.classplan.one_sheet import offcuts_give
from popkit.classplan.order import PlanError
from popkit.classplan.preparing import Minutes, kit_list, timetable
from popkit.classplan.prices import Pack, PriceList, load_prices
from popkit.classplan.shopping import ShoppingLine, cheapest_packs, shopping_list, tape_length
from popkit.handout.plan import class_facts
from popkit.lengths import mm, parse_length
from popkit.roster import Roster, Student

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
RECIPES = {path.stem: pk.load_recipe(path) for path in pk.recipe_files(NOTEBOOKS / "recipes")}
ALLOTMENT, FERRY, REGATTA = RECIPES["allotment"], RECIPES["ferry-steps"], RECIPES["regatta"]


def pack(kind: str, holds: int, price: str | None, name: str = "x", **more) -> Pack:
    return Pack(kind=kind, name=name, holds=holds, price=price, **more)


# Packs --------------------------------------------------------------------------------


def test_packs_are_rounded_up():
    (chosen,) = cheapest_packs(Fraction(26), (pack("other", 25, "4.50"),))
    assert chosen[1] == 2
    assert cheapest_packs(Fraction(25), (pack("other", 25, "4.50"),))[0][1] == 1
    assert cheapest_packs(Fraction(0), (pack("other", 25, "4.50"),)) == ()
    assert cheapest_packs(Fraction(3), ()) == ()


def test_two_small_packs_go_before_a_large_one_only_while_they_are_cheaper():
    small, large = pack("other", 25, "4.50"), pack("other", 100, "14.80")
    assert cheapest_packs(Fraction(60), (small, large)) == ((small, 3),)  # 13.50 against 14.80
    assert cheapest_packs(Fraction(80), (small, large)) == ((large, 1),)  # 18.00 against 14.80
    assert cheapest_packs(Fraction(120), (small, large)) == ((small, 1), (large, 1))


def test_a_price_that_is_not_known_is_not_taken_for_nothing():
    known, unknown = pack("other", 10, "2"), pack("other", 100, None)
    assert cheapest_packs(Fraction(95), (known, unknown)) == ((known, 10),)
    assert cheapest_packs(Fraction(95), (unknown,)) == ((unknown, 1),)


@given(
    need=st.integers(1, 60),
    kinds=st.lists(st.tuples(st.integers(1, 30), st.integers(0, 40)), min_size=1, max_size=3),
)
def test_no_choice_of_packs_is_cheaper(need, kinds):
    """Against every choice there is; of equally cheap ones it leaves least."""
    packs = tuple(pack("other", holds, str(price), f"p{n}") for n, (holds, price) in enumerate(kinds))
    chosen = cheapest_packs(Fraction(need), packs)
    choices = product(*(range(ceil(need / one.holds) + 1) for one in packs))
    sums = [
        (
            sum(one.price * count for one, count in zip(packs, counts, strict=True)),
            sum(one.holds * count for one, count in zip(packs, counts, strict=True)),
        )
        for counts in choices
    ]
    best = min(each for each in sums if each[1] >= need)
    assert (
        sum(one.price * count for one, count in chosen),
        sum(one.holds * count for one, count in chosen),
    ) == best


# Joints -------------------------------------------------------------------------------


def test_the_joints_of_the_allotment_by_hand():
    """Card 105 x 148 mm, landing flap 36 mm; tiers 103 mm wide with tabs of 11 mm; the
    clear sheet begins 3 mm below the score: all as typed in allotment.toml.
    """
    card = ALLOTMENT.card
    flap = mm(pk.cut_list(card)[0].length) - mm(card.height) - 3
    found = [(one.what, one.width, one.depth, one.adhesive) for one in joints(card)]
    assert found[0] == ("clear front", 105, flap, "tape")
    assert found[1:] == [
        (f"{tab} tab of tier {n}", 103, 11, adhesive)
        for n in (1, 2, 3)
        for tab, adhesive in (("bottom", "tape"), ("top", "glue"))
    ]


@pytest.mark.parametrize("name", sorted(RECIPES))
def test_joints_take_what_the_materials_name(name):
    """The list of materials, made from the card by other code, names the same adhesives."""
    card = RECIPES[name].card
    words = {"glue": "Paper glue", "tape": "Double-sided tape"}
    told = {one.name for one in materials(card) if one.kind == "adhesive"}
    assert {words[one.adhesive] for one in joints(card) if one.pad is None} == told & set(words.values())


def test_nothing_is_stuck_on_a_card_of_cut_steps():
    assert joints(FERRY.card) == ()
    assert {line.kind for line in shopping_list(plan_class([(FERRY, 3)])).lines} == {"sheet", "envelope"}


def test_mats_and_ornaments_are_stuck_too():
    card = replace(
        ALLOTMENT.card,
        layers=(Layer(on="back"), Layer(on="front")),
        ornaments=(
            Ornament(on="tier 1", height="30 mm", width="40 mm", pad="2 mm"),
            Ornament(on="tier 2", height="20 mm", width="20 mm"),
        ),
    )
    stuck = {one.what: one.adhesive for one in joints(card)}
    assert stuck["mat for the back"] == "glue"
    assert stuck["mat for the front"] == "tape"  # it lies on the clear sheet
    assert stuck["ornament on tier 1"] == "pad"
    assert stuck["ornament on tier 2"] == "glue"
    (kit,) = kits_of([(replace(ALLOTMENT, card=card), 4)])
    ((pad, number),) = pads_of(kit)
    assert (mm(pad), number) == (2, 2)  # 1200 mm2 is under two square inches


def test_pads_come_from_packs_of_their_thickness():
    thick = {"thin": "1.5 mm", "thick": "3 mm", "any": None}
    packs = {
        name: Pack(kind="pad", name=name, holds=10, price="1.00", thick=size)
        for name, size in thick.items()
    }
    prices = PriceList(packs=tuple(packs.values()))
    # 1/16 in is 1.5875 mm and 1/8 in is 3.175 mm (international inch, 1959): sold as 1.5 and 3 mm.
    for size, name in (("1/16 in", "thin"), ("1/8 in", "thick"), ("3.25 mm", "thick"), ("5 mm", "any")):
        assert prices.pads(parse_length(size)) == (packs[name],), size
    assert prices.pads(parse_length("3.26 mm")) == (packs["any"],)

    # An ornament of 30 x 40 mm on each: two pads of either thickness in every kit, 24 students.
    card = replace(
        ALLOTMENT.card,
        ornaments=(
            Ornament(on="tier 1", height="30 mm", width="40 mm", pad="3 mm"),
            Ornament(on="tier 2", height="30 mm", width="40 mm", pad="1.5 mm"),
        ),
    )
    plan = plan_class([(replace(ALLOTMENT, card=card), 24)])
    lines = {one.item: one for one in shopping_list(plan, prices).lines if one.kind == "pad"}
    assert {item: one.need for item, one in lines.items()} == {
        "Foam pads, 1.5 mm thick": 48,
        "Foam pads, 3 mm thick": 48,
    }
    for item, pack in (("Foam pads, 1.5 mm thick", "thin"), ("Foam pads, 3 mm thick", "thick")):
        assert lines[item].packs == ((packs[pack], 5),)


def test_tape_runs_once_along_a_tab_and_twice_along_a_flap():
    flap, tab, *_ = joints(ALLOTMENT.card)
    assert tape_length(tab) == 103
    assert tape_length(flap) == 210


# The list -----------------------------------------------------------------------------


def test_tape_and_glue_add_up_over_the_class():
    """Allotment: tape 2 x 105 + 3 x 103 = 519 mm, glue 3 x 103 x 11 = 3399 mm2, for each of 10 kits."""
    plan = plan_class([(ALLOTMENT, 8)], spares=2)
    need = {line.kind: line.need for line in shopping_list(plan).lines}
    assert need["tape"] == 5190
    assert need["glue"] == 33990


def test_cost_total_and_per_head_by_hand():
    """24 of the allotment: 12 sheets of each card and so on come from the plan; the money is added up
    here pack by pack.
    """
    plan = plan_class([(ALLOTMENT, 24)])
    shopping = shopping_list(plan, load_prices(NOTEBOOKS / "prices.toml"))
    sheets = {one.name: one.plan.sheets for one in plan.stocks}
    by_hand = {
        "Card stock, 216 g/m², A4": Fraction("4.50") * ceil(sheets["card stock"] / 25),
        "Light card, 176 g/m², A4": Fraction("5.90") * ceil(sheets["light card"] / 50),
        "Clear sheet, 245 g/m², A4": Fraction("6.40") * ceil(sheets["clear sheet"] / 10),
        "Double-sided tape": Fraction("1.80") * ceil(24 * 519 / 10_000),
        "Paper glue": Fraction("2.20"),
        "Envelopes, C6": Fraction("3.40"),
    }
    assert {line.item: line.cost for line in shopping.lines} == by_hand
    assert shopping.total == sum(by_hand.values())
    assert shopping.per_head == shopping.total / 24
    assert shopping.unknown == ()
    envelopes = next(line for line in shopping.lines if line.kind == "envelope")
    assert (envelopes.need, envelopes.bought, envelopes.left) == (24, 50, 26)
    assert envelopes.used == Fraction("3.40") * Fraction(24, 50)


def test_a_missing_price_is_a_named_unknown():
    plan = plan_class([(FERRY, 6)])
    nothing = shopping_list(plan)
    assert nothing.total is nothing.per_head is nothing.used_per_head is None
    assert len(nothing.unknown) == len(nothing.lines) == 2
    assert "A3" in nothing.summary()
    prices = PriceList(currency="£", packs=[pack("sheet", 20, "7.60", "card stock", sheet="A3")])
    some = shopping_list(plan, prices)
    assert (some.known, some.total) == (Fraction("7.60"), None)
    assert some.summary().startswith("£7.60 and what these cost")


def test_a_pack_of_another_size_or_weight_does_not_pay_for_a_sheet():
    plan = plan_class([(FERRY, 6)], envelopes=None)
    for wrong in (
        pack("sheet", 20, "1", "card stock", sheet="A4"),
        pack("sheet", 20, "1", "card stock", sheet="A3", grammage=300),
        pack("sheet", 20, "1", "light card", sheet="A3"),
    ):
        assert shopping_list(plan, PriceList(packs=[wrong])).total is None
    right = pack("sheet", 20, "1", "Card Stock", sheet=("297 mm", "420 mm"), grammage=216)
    assert shopping_list(plan, PriceList(packs=[right])).total == 1


def test_the_cupboard_is_not_bought_again():
    plan = plan_class([(FERRY, 6)], cupboard={"card stock": [("A3", 100)]}, envelopes=None)
    (line,) = shopping_list(plan).lines
    assert (line.need, line.kept + line.unused, line.cost) == (0, 100, 0)
    assert shopping_list(plan).total == 0


def envelope_of(recipe: pk.Recipe, **more):
    (line,) = [
        one for one in shopping_list(plan_class([(recipe, 3)], **more)).lines if one.kind == "envelope"
    ]
    return line


def test_the_envelope_is_the_recipes_own_or_the_smallest_or_the_tutors():
    """C6 takes A6, 105 x 148 mm (ISO 269); the allotment is 105 x 148."""
    assert envelope_of(ALLOTMENT).item == "Envelopes, C6"
    assert envelope_of(replace(ALLOTMENT, envelope="c5")).item == "Envelopes, C5"
    assert envelope_of(ALLOTMENT, envelopes="DL").item == "Envelopes, DL"
    assert envelope_of(ALLOTMENT, envelopes={"The allotment": "B6"}).item == "Envelopes, B6"
    own = replace(ALLOTMENT, envelope="brown ones from the shed")
    assert envelope_of(own).item == "Envelopes, brown ones from the shed"


def test_an_envelope_in_the_tutors_words_is_the_one_of_the_tables_and_has_its_price():
    """ "C6 envelope" is C6; one by its sizes is bought under the words that the tutor knows it by."""
    prices = load_prices(NOTEBOOKS / "prices.toml")
    plan = plan_class([(replace(ALLOTMENT, envelope="C6 envelope"), 6)])
    (line,) = [one for one in shopping_list(plan, prices).lines if one.kind == "envelope"]
    assert line.item == "Envelopes, C6"
    assert line.cost is not None
    by_size = replace(ALLOTMENT, envelope="120 x 170 mm envelope, brown")
    assert envelope_of(by_size).item == "Envelopes, 120 x 170 mm envelope, brown"


@pytest.mark.parametrize("how", ["recipe", "plan"])
def test_an_envelope_too_small_for_its_card_is_not_bought_and_that_is_said(how):
    """The regatta is 5 x 7 in. A2 is 4 3/8 x 5 3/4 in, A7 is 5 1/4 x 7 1/4 in and sold for it (card
    size chart, maymaymadeit.com)."""
    regatta = replace(REGATTA, envelope="A2" if how == "recipe" else "")
    plan = plan_class([(regatta, 6)], envelopes="A2" if how == "plan" else "smallest")
    (line,) = [one for one in shopping_list(plan).lines if one.kind == "envelope"]
    assert (line.item, line.need) == ("Envelopes, A7", 6)
    (bag,) = kit_list(plan)
    assert ("envelope, A7", 1) in [(one.name, one.count) for one in bag.items]
    (remark,) = plan.remarks()
    assert "A2 (4⅜ in × 5¾ in) is too small" in remark
    assert "Take A7 (5¼ in × 7¼ in)" in remark
    assert remark in class_facts(plan)


def test_an_envelope_is_of_the_recipes_own_measure_on_whatever_ruler_the_card_is_made():
    """Harbour lights is an inch card of 4 1/4 x 5 1/2 in; its measure's A6 is 4 3/4 x 6 1/2 in."""
    roster = Roster(students=[Student(name="Ann"), Student(name="Bo", unit="mm")])
    plan = plan_class(roster, RECIPES["harbour-lights"])
    assert [kit.unit for kit in plan.kits] == ["in", "mm"]
    assert {kit.envelope.name for kit in plan.kits} == {"A6"}


def test_a_card_that_fits_no_envelope_is_not_bought_one_and_that_is_said():
    """No envelope in the tables is 400 mm long; the largest padded one is 340 mm inside."""
    huge = replace(ALLOTMENT, card=replace(ALLOTMENT.card, width="300 mm", height="400 mm"))
    for asked in ("", "C6"):
        plan = plan_class([(replace(huge, envelope=asked), 3)], sheets="A2", turn="free")
        assert "envelope" not in {line.kind for line in shopping_list(plan).lines}
        assert not any("envelope" in one.name for bag in kit_list(plan) for one in bag.items)
        (remark,) = plan.remarks()
        assert "no envelope that we know" in remark or "every other that we know" in remark
        assert ("C6 (114 mm × 162 mm) is too small" in remark) is (asked == "C6")


def test_a_box_is_cut_with_its_card_and_no_envelope_is_bought():
    """A tray has four scores, a sleeve four (its flap, two sides, one panel before the last), and the
    sleeve's flap is glued: as deep as the usual tab."""
    plain = plan_class([(ALLOTMENT, 6)], envelopes=None)
    plan = plan_class([(replace(ALLOTMENT, envelope="box"), 6)])
    assert "envelope" not in {line.kind for line in shopping_list(plan).lines}
    cut = {one.piece for layout in plan.layouts for one in layout.placements}
    assert {"tray", "sleeve"} <= cut
    (bag,) = kit_list(plan)
    assert {("tray", 1), ("sleeve", 1)} <= {(one.name, one.count) for one in bag.items}
    assert "envelope" not in " ".join(one.name for one in bag.items)

    def of(plan, kind):
        return sum(job.count for job in timetable(plan).jobs if job.kind == kind)

    assert of(plan, "score") - of(plain, "score") == 6 * (4 + 4)

    def glue(plan):
        return sum(line.need for line in shopping_list(plan).lines if line.kind == "glue")

    (kit,) = plan.kits
    _tray, sleeve = kit.box.pieces
    assert glue(plan) - glue(plain) == 6 * mm(sleeve.width) * mm(sleeve.scores[0])
    assert plan.remarks() == ()
    # None for none: then nothing is cut for it either.
    bare = plan_class([(replace(ALLOTMENT, envelope="box"), 6)], envelopes=None)
    assert bare.sheets == plain.sheets
    assert bare.kits[0].pieces == plain.kits[0].pieces
    asked = plan_class([(ALLOTMENT, 6)], envelopes="box")
    assert asked.kits[0].pieces == plan.kits[0].pieces


def test_a_box_larger_than_the_cards_own_sheet_is_cut_from_one_that_gives_it():
    """A 5 x 7 in card: a tray of its 7 in, two walls and two lips, 10 in and more across the grain,
    where a sheet of 8 1/2 x 11 in has 8 1/2 in."""
    regatta = replace(REGATTA, envelope="box")
    plan = plan_class([(regatta, 2)])
    found = {one.piece: layout.sheet for layout in plan.layouts for one in layout.placements}
    assert mm(found["tray"].width) >= mm(parse_length("10 in"))


# Bags ---------------------------------------------------------------------------------


def test_bags_hold_every_piece_and_large_print_is_apart():
    roster = Roster(
        students=[
            Student(name="Ann", needs="lamp"),
            Student(name="Bo", large_print=True),
            Student(seat="7"),
        ]
    )
    plan = plan_class(roster, FERRY, spares=2, extras={"bone folder": 1})
    plain, large = kit_list(plan)
    assert (plain.count, plain.spares, plain.labels) == (4, 2, ("Ann", "seat 7"))
    assert (large.count, large.spares, large.labels) == (1, 0, ("Bo",))
    assert plain.needs == (("Ann", "lamp"),)
    assert [(one.name, one.count) for one in plain.items] == [
        ("back and front", 1),
        ("bone folder", 1),
        ("envelope, C6", 1),
        ("handout", 1),
    ]
    assert large.items[-1].name == "handout, large print"
    assert sum(bag.count for bag in kit_list(plan)) == plan.bags
    assert "1 bag." in large.text()


# Hours --------------------------------------------------------------------------------


def test_the_timetable_adds_up_by_hand():
    """Ferry steps: one blank with cut steps. Its lines and slits are counted from the cut list."""
    plan = plan_class([(FERRY, 4)], spares=1)
    (blank,) = pk.cut_list(FERRY.card)
    table = timetable(plan, Minutes(cut="0.5", setting=1, score="0.25", slit=2, bag=3))
    found = {job.kind: (job.count, job.minutes) for job in table.jobs}
    assert found["score"] == (5 * len(blank.creases), Fraction(5 * len(blank.creases), 4))
    assert found["slit"] == (5 * len(blank.slits), 10 * len(blank.slits))
    assert found["bag"] == (5, 15)
    assert found["cut"] == (plan.strokes, Fraction(plan.strokes, 2))
    assert found["setting"] == (plan.fence_settings, plan.fence_settings)
    assert table.total == sum(minutes for _, minutes in found.values())
    assert [job.begins for job in table.jobs] == [Fraction(0)] + [job.ends for job in table.jobs[:-1]]


def test_minutes_that_are_not_known_are_named():
    table = timetable(plan_class([(FERRY, 4)]), Minutes(cut=1))
    assert table.unknown == ("score", "slit", "bag")
    assert table.total is None
    assert table.known > 0
    assert table.jobs[-1].begins is None
    assert timetable(plan_class([(FERRY, 4)])).known == 0


@pytest.mark.parametrize("wrong", [0.5, "fast", -1, True, 10_000])
def test_minutes_are_exact_numbers(wrong):
    with pytest.raises(PlanError, match="no number of minutes"):
        Minutes(cut=wrong)


# Offcuts and sizes ----------------------------------------------------------------------


def test_offcuts_give_what_fits_them():
    """Sails of 50 x 100 from A6, 105 x 148: two side by side leave a strip of 5 and one of 48."""
    sail = pk.Piece(name="sail", width="50 mm", length="100 mm", grain="length")
    plan = pk.plan_sheets([sail], students=8, sheet="A6")
    assert plan.sheets == 4
    mat = pk.Piece(name="mat", width="20 mm", length="48 mm", grain="length")
    dot = pk.Piece(name="dot", width="5 mm", length="5 mm")
    giant = pk.Piece(name="giant", width="50 mm", length="50 mm")
    found = offcuts_give(plan, [mat, dot, giant])
    most = max(found, key=lambda one: mm(one.width) * mm(one.height))
    assert most.count == 4
    assert most.alone["mat"] == mm(most.width) // 20 == 5
    assert all("giant" not in one.alone for one in found)
    for one in found:
        area = sum({"mat": 960, "dot": 25}[name] * n for name, n in one.together.items())
        assert area <= mm(one.width) * mm(one.height)
        assert one.alone["dot"] == (mm(one.width) // 5) * (mm(one.height) // 5)
    across = pk.Piece(name="across", width="20 mm", length="60 mm", grain="length")
    assert all("across" not in one.alone for one in offcuts_give(plan, [across]) if mm(one.height) < 60)


def test_class_sizes_are_planned_each_and_can_be_stopped():
    told = []
    found = class_sizes(FERRY, [12, 1, 6, 6], progress=told.append)
    assert [one.students for one in found] == [1, 6, 12]
    assert [one.sheets for one in found] == [plan_class([(FERRY, n)]).sheets for n in (1, 6, 12)]
    assert all(one.bound <= one.sheets for one in found)
    assert [(one.part, one.parts, one.phase) for one in told] == [
        (1, 3, "class of 1"),
        (2, 3, "class of 6"),
        (3, 3, "class of 12"),
    ]
    assert class_sizes(FERRY, [1, 2, 3], stop=lambda: len(told) == 3) == ()
    area = sum(mm(piece.width) * mm(piece.length) for piece in pk.cut_list(FERRY.card))
    for one in found:
        assert one.waste == 1 - one.students * area / (one.sheets * 297 * 420)
    for wrong in ([], [0], [2.5], ["six"]):
        with pytest.raises(PlanError):
            class_sizes(FERRY, wrong)


def test_a_mixed_class_grows_in_its_proportions():
    kits = kits_of([(ALLOTMENT, 14), (FERRY, 10)])
    assert shared_out(24, kits) == [14, 10]
    assert shared_out(12, kits) == [7, 5]
    assert shared_out(1, kits) == [1, 0]
    assert all(sum(shared_out(n, kits)) == n for n in range(60))
    (one,) = class_sizes([(ALLOTMENT, 14), (FERRY, 10)], [24])
    assert one.sheets == plan_class([(ALLOTMENT, 14), (FERRY, 10)]).sheets
    assert one.per_head == Fraction(one.sheets, 24)


def test_a_sheet_for_a_card_that_a_small_class_does_not_make_is_in_nobodys_way():
    """Of 20 ferry steps and 2 harbour lights a class of one makes the ferry steps: one sheet."""
    class_ = [(FERRY, 20), (RECIPES["harbour-lights"], 2)]
    small, whole = class_sizes(class_, [1, 22], sheets={"clear sheet": "A4"})
    assert (small.sheets, small.stocks[0][0]) == (1, "card stock")
    assert "clear sheet" in {name for name, _, _ in whole.stocks}
    with pytest.raises(PlanError, match="nothing is cut from it"):
        class_sizes(class_, [1, 22], sheets={"felt": "A4"})


@pytest.mark.parametrize(
    ("kind", "need", "holds", "count", "said"),
    [
        ("tape", 12_712, 20_000, 1, ("12.8 m", "1 roll of 20 m", "7.2 m")),  # 20 - 12.8
        ("tape", 5_190, 4_000, 2, ("5.2 m", "2 rolls of 4 m", "2.8 m")),  # 8 - 5.2
        ("glue", 77_950, 400_000, 1, ("780 cm²", "1 bottle of 4000 cm²", "3220 cm²")),  # 4000 - 780
        ("envelope", 24, 50, 1, ("24", "1 pack of 50", "26")),
    ],
)
def test_what_is_left_is_what_is_bought_less_the_need_as_shown(kind, need, holds, count, said):
    packs = ((pack(kind, holds, None), count),)
    line = ShoppingLine(kind=kind, item="x", need=Fraction(need), packs=packs)
    assert (line.amount(line.need), line.packs_text, line.left_text) == said
    assert line.text().endswith(f"= {said[1]}, {said[2]} left over.")


def test_what_stays_in_the_cupboard_is_said():
    """Ferry steps: 4 to a sheet of A3. 8 students take 2 of the 5 there; A6 is too small."""
    (stock,) = {piece.stock.name for piece in pk.cut_list(FERRY.card)}
    plan = plan_class([(FERRY, 8)], cupboard={stock: [("A3", 5), ("A6", 9)]})
    said = {line.sheet.name: line.text() for line in shopping_list(plan).lines if line.kind == "sheet"}
    assert said["A3"].endswith("2 from the cupboard. 3 stay in the cupboard.")
    assert said["A6"].endswith("A6: none. 9 stay in the cupboard.")
