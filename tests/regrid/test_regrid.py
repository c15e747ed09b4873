"""A card restated on a ruler: the laws hold, and no better rounding keeps them."""

from __future__ import annotations

import math
import random
import subprocess
import sys
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import popkit as pk
from popkit import nearest
from popkit.checks import MECHANISM_RULES, RULES, SEVERITIES, check
from popkit.laws import broken
from popkit.lengths import Q
from popkit.regridding import REACH, RegridError, number_by_number, regrid
from tests.regrid.samples import RULERS, mechanism, mm, on_ruler, random_card
from tests.strategies import cards


def demo_card(**changes: object) -> pk.Card:
    """Three steps of half an inch, clear front: the Tidewell hall's first workshop."""
    sizes = {
        "width": "5 in",
        "height": "7 1/2 in",
        "tiers": tuple(pk.Tier(face=face, depth="1/2 in") for face in ("3 1/2 in", "3 in", "2 1/2 in")),
        "front": pk.ClearFront(),
    }
    return pk.Card(**(sizes | changes))


def findings(card: pk.Card) -> dict[tuple[str, str], str]:
    """{(rule, where): gravest severity} of all that the laws of a mechanism speak of."""
    found: dict[tuple[str, str], str] = {}
    for finding in check(card):  # the gravest first
        if finding.rule in RULES.keys() - MECHANISM_RULES.keys():
            continue
        found.setdefault((finding.rule, finding.where), finding.severity)
    return found


def new_findings(before: pk.Card, after: pk.Card) -> list[tuple[str, str]]:
    found = findings(after)
    had = findings(before) if found else {}
    rank = SEVERITIES.index
    return [key for key, severity in found.items() if key not in had or rank(severity) < rank(had[key])]


def verify(card: pk.Card, ruler: str) -> None:
    """One card on one ruler, held to the formulas of the side view and to `check`."""
    done = regrid(card, ruler)
    assert done.proved
    assert done.bound == done.worst
    cut = pk.cut_list(done.card)
    assert on_ruler(cut, ruler)
    before, after = mechanism(card), mechanism(done.card, cut)
    assert before.keys() == after.keys()
    lost = [law for law, spare in before.items() if spare >= 0 and after[law] < 0]
    assert not lost
    assert not new_findings(card, done.card)


# The issue's example --------------------------------------------------------------


def test_number_by_number_jams_where_the_issue_says() -> None:
    rounded = number_by_number(demo_card(), "1 mm")
    strip = [
        int(mm(move.rounded))
        for move in rounded.numbers
        if move.piece == "tier 1" and move.mark in ("score 1", "score 2", "score 3", "length")
    ]
    assert sorted(strip) == [13, 25, 114, 127]  # ½, 1, 4½, 5 in: source, the issue
    first = rounded.linkages[0]
    assert (mm(first.shelf), mm(first.foot), mm(first.face)) == (12, 13, 89)
    # law of cosines, sides 13 and 90, reach 12 + 89 (Smith College 2005)
    stops = math.degrees(math.acos((13**2 + 90**2 - 101**2) / (2 * 13 * 90)))
    assert round(stops) == 146
    assert first.opens_to == pytest.approx(stops, abs=1e-9)
    assert "the card stops at 146°" in str(rounded)
    assert not first.parallel
    assert "parallelogram" in {broke.rule for broke in rounded.breaks}


def test_regrid_keeps_the_parallelogram_of_the_issue() -> None:
    done = regrid(demo_card(), "1 mm")
    assert done.proved
    pieces = {piece.name: piece for piece in pk.cut_list(done.card)}
    foot = Fraction(0)
    for number in (1, 2, 3):
        scores = [mm(score) for score in pieces[f"tier {number}"].scores]
        foot += scores[1] - scores[0]
    assert mm(pieces["back"].length) - mm(done.card.height) == foot  # landing just under the last foot
    for angle in (0, 60, 90, 120, 180):
        edges = pk.pose(done.card, angle)["tier 1"]
        assert math.dist(edges[0], edges[1]) == pytest.approx(float(mm(done.card.tiers[0].depth)))
    assert pk.opens_to(done.card) == 180


def test_the_card_number_by_number_makes_stops_short_in_the_side_view_too() -> None:
    rounded = number_by_number(demo_card(), "1 mm")
    assert rounded.card is not None
    assert rounded.opens_to < 146
    pk.pose(rounded.card, rounded.opens_to - 0.01, rounded.slips)
    with pytest.raises(pk.FoldError):
        pk.pose(rounded.card, rounded.opens_to + 0.01, rounded.slips)


# What comes back ------------------------------------------------------------------


@pytest.mark.parametrize("ruler", RULERS)
@pytest.mark.parametrize("seed", range(4))
def test_moves_are_the_two_cut_lists(seed: int, ruler: str) -> None:
    card = random_card(random.Random(1000 + seed))
    done = regrid(card, ruler)
    for side, of in (("exact", card), ("rounded", done.card)):
        for piece in pk.cut_list(of):
            moves = [move for move in done.moves if move.piece == piece.name]
            at = {move.mark: mm(getattr(move, side)) for move in moves}
            assert len(at) == len(moves)
            assert at.pop("width") == mm(piece.width)
            assert at.pop("length") == mm(piece.length)
            slits = [at.pop(mark) for mark in list(at) if mark.endswith("slit")]
            assert sorted(slits) == sorted(mm(slit.across) for slit in piece.slits)
            ends = {mm(end) for slit in piece.slits for end in (slit.start, slit.stop)}
            assert set(at.values()) | ends == {mm(score) for score in piece.scores} | ends
    shifts = [mm(move.rounded) - mm(move.exact) for move in done.moves]
    assert shifts == [mm(move.shift) for move in done.moves]
    assert mm(done.worst) == max(map(abs, shifts))
    assert mm(done.total) == sum(map(abs, shifts))


@pytest.mark.parametrize("seed", range(21))
def test_a_card_already_on_the_ruler_comes_back_as_it_is(seed: int) -> None:
    card = regrid(random_card(random.Random(seed)), RULERS[seed % len(RULERS)]).card
    ruler = RULERS[seed % len(RULERS)]
    again = regrid(card, ruler)
    assert again.card == card
    assert mm(again.worst) == 0
    assert again.proved
    assert again.nudged == ()


def test_the_usual_inset_is_no_mark_but_what_is_cut_is() -> None:
    done = regrid(demo_card(), "1/16 in")  # 1/32 in on each side: 4 15/16 in wide
    assert done.card == demo_card()
    assert mm(done.worst) == 0


def test_lengths_are_in_the_rulers_unit() -> None:
    for ruler, unit in (("1 mm", "millimeter"), ("1/8 in", "inch")):
        done = regrid(demo_card(), ruler)
        assert done.card.unit == unit
        assert str(done.worst.units) == unit
        assert {str(move.rounded.units) for move in done.moves} == {unit}


def test_sizes_left_to_follow_still_follow() -> None:
    done = regrid(demo_card(), "1 mm")
    assert done.card.front.landing is None
    assert done.card.front.length is None
    assert {tier.width for tier in done.card.tiers} == {None}


def test_a_tie_goes_to_the_even_mark() -> None:
    """NIST SP 811 (2008), B.7.1: a half goes to the even digit. 12.5 -> 12, 37.5 -> 38."""
    card = pk.Card(
        width="100 mm",
        height="200 mm",
        tiers=(pk.Tier(face="80 mm", depth="20 mm", top_tab="12.5 mm", bottom_tab="12 mm"),),
        stock=replace(pk.MEDIUM_CARD, sheet="A2"),
    )
    done = regrid(card, "1 mm")
    tab = next(move for move in done.moves if move.mark == "score 1" and move.piece == "tier 1")
    assert mm(tab.rounded) == 12


def test_the_result_does_not_depend_on_what_was_solved_before() -> None:
    alone = regrid(demo_card(), "2 mm")
    regrid(random_card(random.Random(5)), "5 mm")
    assert regrid(demo_card(), "2 mm") == alone


def test_in_a_sentence() -> None:
    done = regrid(demo_card(), "1/16 in")
    assert str(done) == "5 in × 7½ in on a ruler of 1⁄16 in: worst shift 0 in, proved to be the least."


def test_solving_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    regrid(demo_card(), "2 mm")
    assert capfd.readouterr() == ("", "")


def test_the_solver_is_loaded_only_when_it_solves() -> None:
    code = "import sys, popkit.regridding, popkit.resizing; sys.exit('highspy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


# Laws the card does not keep ---------------------------------------------------------


def test_a_law_the_card_breaks_is_not_asked_for_and_is_told() -> None:
    card = demo_card(tiers=(pk.Tier(face="7 1/4 in", depth="1/2 in"),))  # shows by 1/4 in
    done = regrid(card, "1 mm")
    assert {(law.rule, law.where) for law in done.let_go} >= {("hidden", "tier 1")}
    assert any("tier 1 is hidden" in note for note in done.notes)
    assert done.fresh == ()


def test_a_law_that_gets_worse_is_told_with_both_sizes() -> None:
    card = demo_card(tiers=(pk.Tier(face="7 7/16 in", depth="1/2 in"),))
    worse = [regrid(card, ruler) for ruler in RULERS]
    grown = [done for done in worse if mechanism(done.card)["tier 1 hidden"] < Fraction("-11.1125")]
    assert grown  # 7 7/16 + 1/2 - 7 1/2 = 7/16 in = 11.1125 mm
    for done in grown:
        assert any("instead of" in note and "tier 1 is hidden" in note for note in done.notes)


def test_a_step_as_wide_as_its_card_is_restated_all_the_same() -> None:
    step = pk.CutStep(face="2 in", depth="1/2 in", width="5 in")
    done = regrid(demo_card(tiers=(step,), front=pk.OnePieceFront()), "1 mm")
    assert done.proved
    assert ("width", "tier 1") in {(law.rule, law.where) for law in done.let_go}


# No card on the ruler ----------------------------------------------------------------


def crowded() -> pk.Card:
    """Eight tiers, a millimetre apart. On a 5 mm ruler seven bands need seven marks, and a face
    of 14 mm can reach 3 + 3 marks at most: there is no such card.
    """
    tiers = tuple(pk.Tier(face=f"{14 - place} mm", depth="1 mm") for place in range(8))
    return pk.Card(width="40 mm", height="30 mm", tiers=tiers)


def test_no_card_on_the_ruler_says_what_to_give_up() -> None:
    assert REACH == 3  # the reckoning above
    with pytest.raises(RegridError) as caught:
        regrid(crowded(), "5 mm")
    fault = caught.value
    assert {law.rule for law in fault.laws} == {"band"}
    assert "give up" in str(fault)
    assert "shows above" in str(fault)
    assert str(fault.finer) in str(fault)
    assert regrid(crowded(), fault.finer).proved


def test_going_on_without_the_laws_given_up() -> None:
    with pytest.raises(RegridError) as caught:
        regrid(crowded(), "5 mm")
    lost = caught.value.laws
    done = regrid(crowded(), "5 mm", give_up=lost)
    assert done.proved
    assert {(finding.rule, finding.where) for finding in done.fresh} == {
        (law.rule, law.where) for law in lost
    }
    assert regrid(crowded(), "5 mm", give_up=["band"]).proved


def test_what_is_to_be_given_up_is_the_fewest() -> None:
    """Leaving out any one law fewer still leaves no card."""
    with pytest.raises(RegridError) as caught:
        regrid(crowded(), "5 mm")
    lost = caught.value.laws
    for law in lost:
        with pytest.raises(RegridError):
            regrid(crowded(), "5 mm", give_up=[one for one in lost if one is not law])


# Laws and checks ---------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_laws_and_checks_say_the_same(seed: int) -> None:
    rng = random.Random(seed)
    seen = set()
    for _ in range(40):
        card = random_card(rng)
        if rng.random() < 0.5:  # bad craft on purpose
            tier = card.tiers[-1]
            bad = rng.choice(
                [{"face": "2 mm"}, {"depth": "2 mm"}, {"face": "300 mm"}, {"width": "199 mm"}]
            )
            try:
                card = replace(card, tiers=(*card.tiers[:-1], replace(tier, **bad)))
                pk.cut_list(card)
            except (pk.CardError, pk.LengthError):
                continue
        said: dict[tuple[str, str], str] = {}
        for law in sorted(broken(card), key=lambda law: SEVERITIES.index(law.severity)):
            if law.rule != "exists":
                said.setdefault((law.rule, law.where), law.severity)
        assert said == findings(card)
        seen |= set(said)
    assert seen


# Brute force -------------------------------------------------------------------------


class Tried:
    """Every rounding of the sizes of a small card within two marks, by counting them all.

    Written from the cut list of a strip, a back and a front, in whole parts of a millimetre.
    Sizes across the fold and along it share no law and no mark, so they are counted apart.
    """

    def __init__(self, card: pk.Card, ruler: str) -> None:
        self.card, self.step = card, mm(pk.parse_length(ruler))
        self.unit = str(pk.parse_length(ruler).units)
        front, inch = card.front, card.height.units == Q(1, "inch").units
        self.clear = isinstance(front, pk.ClearFront)
        along = {"height": mm(card.height)}
        for number, tier in enumerate(card.tiers):
            along[f"depth {number}"], along[f"face {number}"] = mm(tier.depth), mm(tier.face)
            along[f"top {number}"] = mm(tier.top_tab)
            along[f"bottom {number}"] = mm(tier.bottom_tab)
        if self.clear:
            usual = Fraction(127, 40) if inch else Fraction(3)
            along["gap"] = usual if front.gap is None else mm(front.gap)
            if front.landing is not None:
                along["landing"] = mm(front.landing)
        elif isinstance(front, pk.JoinedFront):
            usual = Fraction(127, 10) if inch else Fraction(12)
            along["joining"] = usual if front.joining_tab is None else mm(front.joining_tab)
        across = {"width": mm(card.width), "insets": 2 * mm(card.side_inset)}
        self.along, self.across = self._grid(along), self._grid(across)
        self.scale = math.lcm(
            self.step.denominator, *(value.denominator for value in (*along.values(), *across.values()))
        )
        self.along_marks = self._judge(self.along, along, self._along_marks)
        self.across_marks = self._judge(self.across, across, self._across_marks)

    def _grid(self, sizes: dict[str, Fraction]) -> dict[str, np.ndarray]:
        ranges = [round(value / self.step) + np.arange(-2, 3) for value in sizes.values()]
        return dict(zip(sizes, np.meshgrid(*ranges, indexing="ij", sparse=True), strict=True))

    def _along_marks(self, at: dict) -> list:
        marks, foot = [at["height"]], 0
        for number in range(len(self.card.tiers)):
            parts = [at[f"{part} {number}"] for part in ("top", "depth", "face", "bottom")]
            marks += [sum(parts[: end + 1]) for end in range(4)]
            foot = foot + parts[1]
        flap = at.get("landing", foot) if self.clear else at.get("joining", at["height"])
        marks.append(at["height"] + flap)
        if self.card.front.panel_name is not None:
            marks.append(at["height"] - at.get("gap", 0))
        return marks

    def _across_marks(self, at: dict) -> list:
        panels = 1 + (self.card.front.panel_name is not None)
        return [at["width"]] * panels + [at["width"] - at["insets"]] * len(self.card.tiers)

    def _judge(self, grid: dict, sizes: dict, marks: object) -> tuple[np.ndarray, np.ndarray]:
        """Worst and summed shift of every rounding, in parts of a millimetre."""
        worst = total = np.int64(0)
        step = int(self.step * self.scale)
        for rounded, exact in zip(marks(grid), marks(sizes), strict=True):
            shift = abs(rounded * step - int(exact * self.scale))
            worst, total = np.maximum(worst, shift), total + shift
        return worst, total

    def _sound(self) -> np.ndarray:
        """The laws of the side view that the card keeps: hidden, tabs within, landing."""

        def laws(at: dict) -> list:
            found, foot = [], 0
            for number in range(len(self.card.tiers)):
                foot = foot + at[f"depth {number}"]
                found.append(at["height"] - foot - at[f"face {number}"])
                found.append(at[f"face {number}"] - at[f"top {number}"])
                found.append(at[f"depth {number}"] - at[f"bottom {number}"])
            if "landing" in at:
                found.append(at["landing"] - foot)
            return found

        exact = {name: value for name, value in self._exact.items()}
        sound = np.bool_(True)
        for spare, was in zip(laws(self.along), laws(exact), strict=True):
            if was >= 0:
                sound = sound & (spare >= 0)
        for size in self.along.values():
            sound = sound & (size >= 1 if size is not self.along.get("gap") else size >= 0)
        return sound

    @property
    def _exact(self) -> dict[str, Fraction]:
        tiers = {
            f"{name} {number}": mm(getattr(tier, field))
            for number, tier in enumerate(self.card.tiers)
            for name, field in (
                ("depth", "depth"),
                ("face", "face"),
                ("top", "top_tab"),
                ("bottom", "bottom_tab"),
            )
        }
        landing = getattr(self.card.front, "landing", None)
        return {"height": mm(self.card.height)} | tiers | ({"landing": mm(landing)} if landing else {})

    def better(self, worst: Fraction, total: Fraction) -> list[dict[str, int]]:
        """The sizes, in marks, of every card with sound sides whose shifts are less, worst first,
        then the sum.
        """
        high, much = int(worst * self.scale), int(total * self.scale)
        sound = np.broadcast_to(self._sound(), np.broadcast(*self.along.values()).shape)
        cards = []
        for place in np.ndindex(self.across_marks[0].shape):
            wide = {
                name: int(values.flat[place[axis]])
                for axis, (name, values) in enumerate(self.across.items())
            }
            if wide["width"] < 1 or not 0 <= wide["insets"] < wide["width"]:
                continue
            here_worst = np.maximum(self.along_marks[0], self.across_marks[0][place])
            here_total = self.along_marks[1] + self.across_marks[1][place]
            less = (here_worst < high) | ((here_worst == high) & (here_total < much))
            for found in np.argwhere(sound & less):
                tall = {
                    name: int(values.flat[found[axis]])
                    for axis, (name, values) in enumerate(self.along.items())
                }
                cards.append(wide | tall)
        return cards

    def card_of(self, marks: dict[str, int]) -> pk.Card:
        """The card with these sizes."""

        def length(name: str) -> object:
            return Q(marks[name] * self.step, "millimeter").to(self.unit)

        tiers = tuple(
            pk.Tier(
                face=length(f"face {number}"),
                depth=length(f"depth {number}"),
                top_tab=length(f"top {number}"),
                bottom_tab=length(f"bottom {number}"),
            )
            for number in range(len(self.card.tiers))
        )
        front = self.card.front
        if self.clear:
            front = replace(front, gap=length("gap"))
            if "landing" in marks:
                front = replace(front, landing=length("landing"))
        elif "joining" in marks:
            front = replace(front, joining_tab=length("joining"))
        return replace(
            self.card,
            width=length("width"),
            height=length("height"),
            tiers=tiers,
            front=front,
            side_inset=length("insets") / 2,
        )


def small_card(rng: random.Random, count: int) -> pk.Card:
    """A sound card of one or two tiers with sizes of its own, in inches or millimetres."""
    inches = rng.random() < 0.5
    step, unit = (Fraction(1, 16), "inch") if inches else (Fraction(1, 2), "millimeter")

    def near(low: float, high: float) -> object:
        return Q(max(1, round(Fraction(rng.uniform(low, high)) / mm(Q(step, unit)))) * step, unit)

    tiers, tall = [], near(70, 110)
    depths = [near(10, 14) for _ in range(count)]
    # Half of them as tall as can just be hidden, so that the rounding of three sizes must agree.
    face = mm(tall) - sum(mm(depth) for depth in depths) if rng.random() < 0.5 else mm(tall) / 2
    for depth in reversed(depths):
        low = Fraction(face) // mm(Q(step, unit)) * step
        tiers.insert(0, pk.Tier(face=Q(low, unit), depth=depth))
        face += rng.choice([Fraction("6.5"), Fraction(8), mm(depth)])
    feet = sum(mm(tier.depth) for tier in tiers)
    landing = rng.choice([None, Q(feet / mm(Q(1, unit)), unit)])
    fronts = [pk.OnePieceFront(), pk.JoinedFront()]
    if count == 1:
        fronts += [pk.ClearFront(landing=landing), pk.ClearFront(landing=landing, gap=near(2, 4))]
    stock = replace(pk.MEDIUM_CARD, sheet=rng.choice(["A4", "Letter", "A3"]))
    return pk.Card(
        width=near(80, 120), height=tall, tiers=tuple(tiers), front=rng.choice(fronts), stock=stock
    )


def prove_by_counting(card: pk.Card, ruler: str, rng: random.Random) -> None:
    done = regrid(card, ruler)
    assert done.proved
    tried = Tried(card, ruler)
    better = tried.better(mm(done.worst), mm(done.total))
    # Whatever is better keeps the side view, so it must break a law that only `check` knows of.
    for marks in better if len(better) <= 60 else rng.sample(better, 60):
        assert new_findings(card, tried.card_of(marks)), f"missed {marks}"


@pytest.mark.parametrize("ruler", RULERS)
def test_counting_every_rounding_of_one_tier_finds_none_better(ruler: str) -> None:
    rng = random.Random(ruler)
    for _ in range(12):
        prove_by_counting(small_card(rng, 1), ruler, rng)


@pytest.mark.parametrize("ruler", ["0.5 mm", "1 mm", "2 mm", "1/8 in"])
def test_counting_every_rounding_of_two_tiers_finds_none_better(ruler: str) -> None:
    rng = random.Random(f"two {ruler}")
    prove_by_counting(replace(small_card(rng, 2), front=pk.OnePieceFront()), ruler, rng)


def test_the_counting_would_notice_a_worse_answer() -> None:
    """The test above is no test unless a card a mark off the best is found out."""
    rng = random.Random(7)
    card = small_card(rng, 1)
    done = regrid(card, "1 mm")
    tried = Tried(card, "1 mm")
    better = tried.better(mm(done.worst) + Fraction(1, 2), mm(done.total) + 3)
    assert any(not new_findings(card, tried.card_of(marks)) for marks in better[:200])


# Many cards ----------------------------------------------------------------------------


@pytest.mark.parametrize("ruler", RULERS)
def test_laws_hold_on_every_ruler(ruler: str) -> None:
    rng = random.Random(f"few {ruler}")
    for _ in range(12):
        verify(random_card(rng), ruler)


@settings(max_examples=40)
@given(card=cards(), ruler=st.sampled_from(RULERS))
def test_any_card_at_all_is_restated_or_refused_with_a_way_on(card: pk.Card, ruler: str) -> None:
    """Cards of every form, sound or not, with sizes no tutor would publish."""
    said: dict[tuple[str, str], str] = {}
    for law in sorted(broken(card), key=lambda law: SEVERITIES.index(law.severity)):
        if law.rule != "exists":
            said.setdefault((law.rule, law.where), law.severity)
    assert said == findings(card)
    try:
        verify(card, ruler)
    except RegridError as fault:
        done = regrid(card, ruler, give_up=fault.laws)
        assert done.proved
        asked = {(law.rule, law.where) for law in fault.laws}
        assert set(new_findings(card, done.card)) <= asked
    except pk.CardError:
        with pytest.raises(pk.CardError):
            pk.cut_list(card)


@pytest.mark.slow
@pytest.mark.parametrize("ruler", RULERS)
def test_laws_hold_for_five_thousand_cards(ruler: str) -> None:
    """7 rulers x 720 cards."""
    rng = random.Random(f"many {ruler}")
    for _ in range(720):
        verify(random_card(rng), ruler)


def test_number_by_number_breaks_many_cards() -> None:
    """Inches to whole millimetres: far more than a few cards lose their parallelogram."""
    rng = random.Random(3)
    cards = [card for card in (random_card(rng) for _ in range(120)) if card.unit == "inch"]
    lost = [
        card
        for card in cards
        if any(broke.rule == "parallelogram" for broke in number_by_number(card, "1 mm").breaks)
    ]
    assert len(cards) > 50
    # Shelf = difference of two roundings, foot = one of its own: each tier differs about one
    # time in three, so of many cards with two tiers on average some half must.
    assert 0.3 < len(lost) / len(cards) < 0.8


def test_number_by_number_breaks_nothing_on_the_cards_own_ruler() -> None:
    rng = random.Random(4)
    for _ in range(15):
        card = regrid(random_card(rng), "1 mm").card
        assert number_by_number(card, "1 mm").works


def test_number_by_number_says_when_a_shelf_came_to_nothing() -> None:
    card = pk.Card(
        width="100 mm",
        height="120 mm",
        tiers=(pk.Tier(face="50 mm", depth="2 mm", top_tab="9 mm", bottom_tab="2 mm"),),
    )
    rounded = number_by_number(card, "5 mm")  # scores at 9 and 11 both go to 10
    assert rounded.card is None
    assert rounded.opens_to is None
    assert "vanished" in {broke.rule for broke in rounded.breaks}


# The programme by itself -----------------------------------------------------------------


def random_programme(rng: random.Random) -> nearest.Programme:
    columns = rng.randint(1, 4)
    exact = [Fraction(rng.randint(0, 40), rng.choice([2, 3, 5, 8])) for _ in range(columns)]
    marks = []
    for _ in range(rng.randint(1, 5)):
        terms = tuple((c, rng.choice([-1, 1, 1, 2])) for c in range(columns) if rng.random() < 0.7)
        if terms:
            at = sum(times * exact[column] for column, times in terms)
            marks.append(nearest.Mark(terms, at, rng.randint(1, 3)))
    rows = []
    for _ in range(rng.randint(0, 3)):
        terms = tuple((c, rng.choice([-2, -1, 1])) for c in range(columns) if rng.random() < 0.6)
        if terms:
            at = math.floor(sum(times * exact[column] for column, times in terms))
            least = at + rng.randint(-2, 3)
            rows.append((terms, least, rng.choice([nearest.FAR, least + 2])))
    low = tuple(max(0, round(value) - 2) for value in exact)
    high = tuple(round(value) + 2 for value in exact)
    return nearest.Programme(low, high, tuple(rows), tuple(marks), tuple(exact), (0,))


def by_counting(programme: nearest.Programme) -> tuple[Fraction, Fraction] | None:
    """Least (worst, total) over every point."""
    spans = (range(low, high + 1) for low, high in zip(programme.low, programme.high, strict=True))
    best = None
    for point in map(tuple, np.stack(np.meshgrid(*spans), -1).reshape(-1, len(programme.low)).tolist()):
        if all(
            least <= sum(times * point[column] for column, times in terms) <= most
            for terms, least, most in programme.rows
        ):
            shifts = [
                (abs(sum(t * point[c] for c, t in mark.terms) - mark.exact), mark.weight)
                for mark in programme.marks
            ]
            one = (
                max((shift for shift, _ in shifts), default=Fraction(0)),
                sum((shift * weight for shift, weight in shifts), Fraction(0)),
            )
            best = one if best is None else min(best, one)
    return best


@pytest.mark.parametrize("seed", range(100))
def test_the_programme_finds_what_counting_finds(seed: int) -> None:
    programme = random_programme(random.Random(seed))
    answer, counted = nearest.optimum(programme), by_counting(programme)
    if counted is None:
        assert answer is None
    else:
        assert (answer.worst, answer.total) == counted
        assert answer.bound == counted[0]
        assert answer.proved


@pytest.mark.parametrize("seed", range(60))
def test_the_solver_alone_finds_the_same_but_claims_less(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    programme = random_programme(random.Random(seed))
    counted = by_counting(programme)

    def too_many(*_: object) -> None:
        raise nearest.TooMany

    monkeypatch.setattr(nearest, "any_point", too_many)
    answer = nearest.optimum(programme)
    if counted is None:
        assert answer is None
    else:
        assert (answer.worst, answer.total) == counted
        assert answer.bound <= counted[0]
        assert answer.proved == (answer.bound == answer.worst)
