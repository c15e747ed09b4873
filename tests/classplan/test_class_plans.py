"""Whole classes: several cards, rulers and stocks, counted by hand and replayed stock by stock."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

import popkit as pk
from popkit.classplan.classes import plan_class
from popkit.classplan.kits import Kit, kits_of
from popkit.classplan.order import PlanError
from popkit.classplan.plan import plan_sheets
from popkit.classplan.replay import replay
from popkit.lengths import mm, unit_of
from popkit.papers import Sheet, Stock
from popkit.roster import Roster, Student, read_roster, seats

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"
ALLOTMENT = pk.load_recipe(NOTEBOOKS / "recipes" / "allotment.toml")
HARBOUR = pk.load_recipe(NOTEBOOKS / "recipes" / "harbour-lights.toml")
REGATTA = pk.load_recipe(NOTEBOOKS / "recipes" / "regatta.toml")
FERRY = pk.load_recipe(NOTEBOOKS / "recipes" / "ferry-steps.toml")

TRAY = Sheet(name="tray", width="100 mm", height="100 mm")
BLUE = Stock(name="blue", grammage=Fraction(200), caliper="0.25 mm", sheet=TRAY)
RED = replace(BLUE, name="red")


def kit(name: str, *pieces: tuple, stock: Stock | None = BLUE) -> Kit:
    """A kit of pieces (name, width, length in mm, count)."""
    return Kit(
        name=name,
        pieces=tuple(
            pk.Piece(name=what, width=f"{w} mm", length=f"{h} mm", count=n, stock=stock)
            for what, w, h, n in pieces
        ),
        count=1,
    )


def made(plan) -> Counter:
    """How many of each piece come off the sheets."""
    found: Counter = Counter()
    for layout in plan.layouts:
        for one in layout.placements:
            found[one.piece] += layout.count
    return found


def test_cards_of_one_stock_share_sheets_and_keep_their_names():
    """Half a tray for each of 3 + 5 students is 4 trays; planned apart it would be 2 + 3."""
    boat, barn = kit("Boat", ("sail", 50, 100, 1)), kit("Barn", ("roof", 50, 100, 1))
    plan = plan_class([(boat, 3), (barn, 5)])
    (one,) = plan.stocks
    assert (plan.sheets, plan.bound, plan.gap, plan.proved) == (4, 4, 0, True)
    assert made(one.plan) == {"Boat: sail": 3, "Barn: roof": 5}
    assert replay(one.plan) == ()


def test_one_card_keeps_plain_names():
    plan = plan_class([(kit("Boat", ("sail", 50, 100, 1)), 2)])
    assert made(plan.stocks[0].plan) == {"sail": 2}


def test_stocks_never_share_a_sheet():
    boat = kit("Boat", ("sail", 50, 100, 1), stock=BLUE)
    barn = kit("Barn", ("roof", 50, 100, 1), stock=RED)
    plan = plan_class([(boat, 3), (barn, 5)])
    assert {one.name: one.plan.sheets for one in plan.stocks} == {"red": 3, "blue": 2}
    assert plan.sheets == 5


def test_spare_kits_for_all_or_for_one_card():
    boat, barn = kit("Boat", ("sail", 50, 100, 1)), kit("Barn", ("roof", 50, 100, 1))
    assert plan_class([(boat, 3), (barn, 5)], spares=1).sheets == 5
    plan = plan_class([(boat, 3), (barn, 5)], spares={"Barn": 4})
    assert (plan.sheets, plan.students, plan.bags) == (6, 8, 12)


def test_counts_of_a_piece_in_a_kit_are_multiplied():
    plan = plan_class([(kit("Boat", ("sail", 50, 50, 3)), 4)])
    assert made(plan.stocks[0].plan)["sail"] == 12
    assert plan.sheets == 3


def test_steps_and_layouts_are_numbered_right_through():
    plan = plan_class([(ALLOTMENT, 14), (HARBOUR, 10)], sheets="A4")
    assert [layout.name for layout in plan.layouts] == list("ABCDEFGH")[: len(plan.layouts)]
    assert [step.number for step in plan.steps] == list(range(1, len(plan.steps) + 1))
    names = {layout.name for layout in plan.layouts}
    for one in plan.stocks:
        assert replay(one.plan) == ()
        inside = {step.number for step in one.plan.steps}
        for step in one.plan.steps:
            assert set(step.take.from_steps) <= inside
            assert set(step.take.layouts) <= names
            assert {pile.to_step for pile in step.gives if pile.to_step} <= inside
        drawn = {cut.number for layout in one.plan.layouts for cut in layout.cuts}
        assert drawn == inside


def test_the_demand_of_every_card_is_met():
    plan = plan_class([(ALLOTMENT, 14), (HARBOUR, 10)], sheets="A4", spares=1)
    found = sum((made(one.plan) for one in plan.stocks), Counter())
    for recipe, count in ((ALLOTMENT, 15), (HARBOUR, 11)):
        for piece in pk.cut_list(recipe.card):
            assert found[f"{recipe.title}: {piece.name}"] >= piece.count * count


def test_a_stock_alone_takes_as_many_sheets_as_plan_sheets_says():
    plan = plan_class([(ALLOTMENT, 24)])
    for one in plan.stocks:
        pieces = [piece for piece in pk.cut_list(ALLOTMENT.card) if piece.stock.name == one.name]
        alone = plan_sheets(pieces, students=24, sheet=one.stock.sheet)
        assert (one.plan.sheets, one.plan.bound) == (alone.sheets, alone.bound)


def test_a_stock_in_two_sheets_is_planned_on_each():
    """The ferry steps are cut from A3, the allotment from A4: both card stock."""
    plan = plan_class([(ALLOTMENT, 4), (FERRY, 4)])
    sheets = [(one.name, one.sheets[0].name) for one in plan.stocks]
    assert ("card stock", "A3") in sheets
    assert ("card stock", "A4") in sheets


def test_the_tutor_chooses_a_sheet_for_one_stock_or_for_all():
    plan = plan_class([(HARBOUR, 10)], sheets={"Card Stock": "A4"})
    assert {one.name: one.sheets[0].name for one in plan.stocks} == {
        "card stock": "A4",
        "clear sheet": "Letter",
    }
    plan = plan_class([(HARBOUR, 10)], sheets="A4")
    assert {one.sheets[0].name for one in plan.stocks} == {"A4"}


def test_of_several_sheets_the_least_area_is_bought():
    """One sail of 50 x 100: a strip of its size, and not the tray of twice that."""
    boat = kit("Boat", ("sail", 50, 100, 1))
    strip = ("50 mm", "100 mm")
    plan = plan_class([(boat, 1)], sheets={"blue": [TRAY, strip]})
    assert [layout.sheet.name for layout in plan.layouts] == ["50 mm × 100 mm"]
    assert (plan.proved, plan.bound, plan.gap) == (True, None, 0)


def test_the_cupboard_comes_first_and_keeps_what_is_not_needed():
    boat = kit("Boat", ("sail", 50, 100, 1))
    plan = plan_class([(boat, 8)], cupboard={"blue": [(TRAY, 3)]})
    assert (plan.sheets, plan.bought, plan.proved) == (4, 1, True)
    assert plan.stocks[0].kept == ((TRAY, 3),)
    assert replay(plan.stocks[0].plan) == ()


def test_a_ruler_in_the_other_unit_gets_the_card_restated():
    roster = Roster(
        students=[
            Student(name="Ines", card="Harbour lights", unit="in"),
            Student(name="Tom", card="Harbour lights", unit="mm"),
        ]
    )
    kits = kits_of(roster, [HARBOUR])
    assert [kit.name for kit in kits] == ["Harbour lights", "Harbour lights, in millimetres"]
    for piece in kits[1].pieces:
        assert unit_of(piece.width) == "millimeter"
        assert mm(piece.width).denominator == mm(piece.length).denominator == 1
    plan = plan_class(roster, [HARBOUR], sheets="A4")
    assert all(replay(one.plan) == () for one in plan.stocks)


def test_the_roster_of_the_workshops_is_planned():
    recipes = [pk.load_recipe(path) for path in pk.recipe_files(NOTEBOOKS / "recipes")]
    roster = read_roster(NOTEBOOKS / "rosters" / "saturday.csv")
    plan = plan_class(roster, recipes, sheets="A4")
    assert plan.students == len(roster) == 24
    assert len(plan.stocks) == 3
    assert plan.proved
    assert sum(kit.large_print for kit in plan.kits) == roster.large_print


def test_a_roster_without_cards_makes_the_only_one():
    plan = plan_class(seats(5), FERRY)
    assert (plan.kits[0].name, plan.students) == ("The ferry steps", 5)
    assert plan_class(seats(5, card="steps"), {"steps": FERRY}).students == 5


# Faults ---------------------------------------------------------------------------------


def faults_of(*args, **more) -> str:
    with pytest.raises(PlanError) as caught:
        plan_class(*args, **more)
    return "\n".join(caught.value.faults)


def test_everything_wrong_is_said_at_once():
    boat = kit("Boat", ("sail", 50, 100, 1))
    said = faults_of(
        [(boat, 3)],
        spares=-1,
        sheets={"green": "A4", "blue": "A9"},
        cupboard={"pink": [("A4", 3)], "blue": [("A4", "three")]},
        envelopes={"Barn": "C6"},
        extras={"brads": 0},
        turn="round",
        stack=0,
        longest_cut="long",
    )
    for part in (
        "spare kits is -1",
        "A sheet is given for “green”",
        "A9",
        "A cupboard is given for “pink”",
        "the number of sheets is 'three'",
        "An envelope is given for “Barn”",
        "“brads” × 0",
        "turn is 'round'",
        "The stack is 0",
        "The longest cut",
    ):
        assert part in said, part


def test_a_roster_names_cards_that_are_not_there():
    roster = Roster(
        students=[
            Student(name="Ines", card="Harbor light"),
            Student(name="Tom", card="Harbour lights"),
            Student(name="Priya"),
        ]
    )
    said = faults_of(roster, [HARBOUR, FERRY])
    assert "“Harbor light” is no recipe of this class (Ines)" in said
    assert "No card is named (Priya)" in said
    assert "“Harbour lights”, “The ferry steps”" in said


def test_recipes_of_one_title_stand_in_nobodys_way_until_they_are_asked_for():
    twin = replace(FERRY, card=replace(FERRY.card, side_inset="2 mm"))
    recipes = {"allotment": ALLOTMENT, "ferry-steps": FERRY, "lower-steps": twin}

    def asked(*cards: str) -> Roster:
        return Roster(students=[Student(name=f"{n}", card=card) for n, card in enumerate(cards)])

    (kit,) = kits_of(asked(ALLOTMENT.title, ALLOTMENT.title), recipes)
    assert (kit.name, kit.count) == (ALLOTMENT.title, 2)
    # The title names two cards and neither is taken; the name of a file tells which is meant.
    said = faults_of(asked(FERRY.title), recipes)
    for part in ("Several recipes are called", FERRY.title, "“ferry-steps” and “lower-steps”"):
        assert part in said, part
    (kit,) = kits_of(asked("Lower-Steps"), recipes)
    assert mm(kit.card.side_inset) == 2
    # Bags bear titles, so one class cannot make both.
    assert "Several recipes are called" in faults_of(asked("lower-steps", "ferry-steps"), recipes)
    assert "Several recipes are called" in faults_of([(FERRY, 3), (twin, 4)])
    assert "Several recipes are called" in faults_of(asked(FERRY.title), [FERRY, twin])


def test_pieces_that_fit_no_sheet_are_named_over_all_stocks():
    boat = kit("Boat", ("sail", 50, 120, 1), ("flag", 20, 20, 1))
    barn = kit("Barn", ("wall", 130, 40, 1), stock=RED)
    said = faults_of([(boat, 1), (barn, 1)])
    assert "Boat: sail, 50 mm × 120 mm, fits no tray sheet" in said
    assert "Barn: wall, 130 mm × 40 mm, fits no tray sheet" in said
    assert said.count("A6 would do") == 2  # 105 x 148 takes 50 x 120, and 130 x 40 turned
    assert "flag" not in said


@pytest.mark.parametrize("who", [[], [(FERRY, 0)], 5, [(FERRY,)], [("ferry", 3)], [(FERRY, 2.5)]])
def test_a_class_of_nobody_or_of_nothing_is_refused(who):
    assert faults_of(who)


def test_one_card_twice_is_refused():
    assert "stands in the class 2 times" in faults_of([(FERRY, 3), (FERRY, 4)])


def test_pieces_of_no_stock_need_a_sheet():
    boat = kit("Boat", ("sail", 50, 100, 1), stock=None)
    assert "write which sheet" in faults_of([(boat, 1)])
    assert plan_class([(boat, 2)], sheets=TRAY).sheets == 1


def test_pieces_of_no_stock_go_with_the_stock_used_most():
    boat = kit("Boat", ("hull", 100, 50, 1))
    free = replace(boat, pieces=(*boat.pieces, pk.Piece(name="flag", width="100 mm", length="50 mm")))
    plan = plan_class([(free, 2)])
    assert (plan.sheets, [one.name for one in plan.stocks]) == (2, ["blue"])


# The cupboard of a mixed class -------------------------------------------------------------


def half_trays() -> tuple[Kit, Kit]:
    """Two cards of one stock, cut from two sizes of sheet, two pieces to a sheet."""
    slate = replace(BLUE, sheet=Sheet(name="slate", width="80 mm", height="100 mm"))
    return (
        kit("Boat", ("sail", 50, 100, 1)),
        kit("Barn", ("roof", 40, 100, 1), stock=slate),
    )


def test_a_sheet_in_the_cupboard_goes_to_the_pieces_that_are_cut_from_its_size():
    """4 boats take 2 trays, 6 barns 3 slates; 1 tray and 2 slates are there: one of each is bought."""
    boat, barn = half_trays()
    slate = barn.pieces[0].stock.sheet
    plan = plan_class([(boat, 4), (barn, 6)], cupboard={"blue": [(TRAY, 1), (slate, 2)]})
    assert (plan.sheets, plan.bought) == (5, 2)
    assert {one.sheets[0].name: [(s.name, n) for s, n in one.kept] for one in plan.stocks} == {
        "tray": [("tray", 1)],
        "slate": [("slate", 2)],
    }


def test_a_size_that_nothing_is_cut_from_is_one_fault():
    boat, barn = half_trays()
    with pytest.raises(PlanError) as caught:
        plan_class([(boat, 4), (barn, 6)], cupboard={"blue": [("A4", 5)]})
    (fault,) = caught.value.faults
    assert "A4 of “blue”" in fault
    assert "tray and slate" in fault


def test_two_weights_of_one_name_are_told_apart_by_their_weight():
    heavy = replace(BLUE, grammage=Fraction(300))
    boat, barn = kit("Boat", ("sail", 50, 100, 1)), kit("Barn", ("roof", 50, 100, 1), stock=heavy)
    class_ = [(boat, 4), (barn, 6)]
    with pytest.raises(PlanError) as caught:
        plan_class(class_, cupboard={"blue": [(TRAY, 1)]})
    (fault,) = caught.value.faults
    assert "“blue, 200 g/m²” or “blue, 300 g/m²”" in fault
    plan = plan_class(class_, cupboard={"blue, 300 g/m²": [(TRAY, 1)]})
    assert {one.stock.grammage: one.plan.bought for one in plan.stocks} == {200: 2, 300: 2}


def test_allotment_and_regatta_share_a_cupboard_of_a4():
    """Card stock is cut from A4 for one card and from Letter for the other."""
    plan = plan_class([(ALLOTMENT, 2), (REGATTA, 2)], cupboard={"card stock": [("A4", 5)]})
    kept = [n for one in plan.stocks if one.name == "card stock" for _, n in one.kept]
    assert kept == [5]


# Stopping --------------------------------------------------------------------------------


def test_a_stop_at_once_still_gives_a_good_plan_of_every_stock():
    """Never worse than a sheet for each piece, and no more than a tenth over the bound."""
    plan = plan_class([(ALLOTMENT, 14), (HARBOUR, 10)], sheets="A4", stop=lambda: True)
    assert len(plan.stocks) == 3
    for one in plan.stocks:
        assert replay(one.plan) == ()
        assert one.plan.bound <= one.plan.sheets <= one.plan.bound * Fraction(11, 10)


BOTH_RULERS = read_roster("name,card,unit\nAnn,regatta,mm\nEve,regatta,in\n")


@pytest.mark.parametrize("terms", [{}, {"seconds": 0}, {"stop": lambda: True}, {"longest_cut": "12 in"}])
def test_a_matted_card_on_both_rulers_is_planned_and_heeds_the_stop(terms):
    """Millimetres and sixteenths of an inch have 0.0125 mm in common: 27 million plates of Letter.

    Nothing takes fewer sheets than the area of its pieces; a plan in haste takes no more than a
    sheet for each.
    """
    plan = plan_class(BOTH_RULERS, {"regatta": REGATTA}, prove=False, **terms)
    assert sorted(kit.unit for kit in plan.kits) == ["in", "mm"]
    for one in plan.stocks:
        assert replay(one.plan) == ()
        pieces = one.plan.pieces
        area = sum(
            mm(piece.width) * mm(piece.length) * wanted
            for piece, wanted in zip(pieces, one.plan.demand, strict=True)
        )
        board = mm(one.stock.sheet.width) * mm(one.stock.sheet.height)
        assert one.plan.sheets >= one.plan.bound >= area / board
        assert one.plan.sheets <= sum(one.plan.demand)
        for layout in one.plan.layouts:
            for place in layout.placements:
                piece = pieces[place.number]
                assert {mm(place.width), mm(place.height)} == {mm(piece.width), mm(piece.length)}


def test_a_large_class_on_both_rulers_has_a_plan_at_once():
    """20 bags of each: a quarter more than the area of the pieces at most."""
    mixed = [(one, 20) for one in kits_of(BOTH_RULERS, {"regatta": REGATTA})]
    plan = plan_class(mixed, seconds=0, tidy=False)
    assert plan.bags == 40
    for one in plan.stocks:
        assert replay(one.plan) == ()
        assert one.plan.sheets <= one.plan.bound * Fraction(5, 4)


def test_progress_tells_each_stock_and_never_goes_back():
    told = []
    plan_class([(ALLOTMENT, 24)], progress=told.append)
    assert {(one.part, one.parts, one.stock) for one in told} >= {
        (1, 3, "card stock"),
        (2, 3, "clear sheet"),
        (3, 3, "light card"),
    }
    for part in (1, 2, 3):
        best = [one.best for one in told if one.part == part and one.best is not None]
        bound = [one.bound for one in told if one.part == part]
        assert best == sorted(best, reverse=True)
        assert bound == sorted(bound)


def test_a_stock_that_can_hardly_be_proved_is_told_with_its_gap():
    """Without the long proof a class of one is at its bound or says how far from it."""
    many = [(f"p{n}", 20 + 7 * n, 90 - 6 * n, 1) for n in range(9)]
    plan = plan_class([(kit("Puzzle", *many), 1)], prove=False, tidy=False)
    assert plan.gap == plan.sheets - plan.bound >= 0
    assert plan.proved == (plan.gap == 0)
    whole = plan_class([(kit("Puzzle", *many), 1)])
    assert whole.proved
    assert plan.bound <= whole.sheets <= plan.sheets


def test_a_mat_of_which_nothing_is_left_is_a_fault_of_the_plan():
    gone = pk.Layer(on="band 1", reveal="5 in", name="lost mat")
    spoilt = replace(HARBOUR, card=replace(HARBOUR.card, layers=(gone,)))
    with pytest.raises(PlanError) as caught:
        plan_class([(spoilt, 3), (HARBOUR, 0.5)])
    assert len(caught.value.faults) == 2
    assert "lost mat" in caught.value.faults[0]
    assert "0.5" in caught.value.faults[1]
