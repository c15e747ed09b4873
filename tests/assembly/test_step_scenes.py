"""Scenes: the handout's steps, each with what a class must see of it."""

import pytest

import popkit as pk
from popkit.assembly import assembly_steps
from popkit.card import Layer, Ornament
from popkit.scenes import scenes


def tutor_card(**more):
    faces = ("3 1/2 in", "3 in", "2 1/2 in")
    return pk.Card(
        width="5 in",
        height="7 in",
        tiers=tuple(pk.Tier(face=face, depth="1/2 in") for face in faces),
        **{"front": pk.ClearFront()} | more,
    )


def cut_card():
    tiers = (pk.CutStep(face="60 mm", depth="15 mm"), pk.CutStep(face="40 mm", depth="15 mm"))
    return pk.Card(width="105 mm", height="148 mm", tiers=tiers, front=pk.OnePieceFront())


@pytest.mark.parametrize("card", [tutor_card(), tutor_card(front=pk.JoinedFront()), cut_card()], ids=str)
def test_the_steps_are_those_of_the_handout_in_their_order(card):
    shown = scenes(card)
    assert [scene.step for scene in shown] == list(assembly_steps(card))
    assert [scene.step.number for scene in shown] == list(range(1, len(shown) + 1))
    assert {scene.count for scene in shown} == {len(shown)}
    assert shown[-1].progress == f"Step {len(shown)} of {len(shown)}"


def test_a_tier_stands_from_the_step_that_sets_its_foot():
    standing = {
        (scene.step.kind, scene.step.tier): scene.tiers
        for scene in scenes(tutor_card())
        if not scene.whole
    }
    assert standing == {
        ("join", None): 0,
        **{(kind, tier): tier for tier in (1, 2, 3) for kind in ("foot", "top tab")},
    }


def test_a_cut_step_stands_once_it_is_pushed_forward():
    pushed = [scene for scene in scenes(cut_card()) if scene.step.kind == "push"]
    assert [scene.tiers for scene in pushed] == [1, 2]
    assert all(scene.marked == () for scene in pushed)  # there is one piece: nothing to mark it from


def test_the_strip_is_in_hand_when_its_tabs_are_glued_not_what_it_is_glued_to():
    for scene in scenes(tutor_card()):
        if scene.step.kind in ("foot", "top tab"):
            assert scene.marked == (f"tier {scene.step.tier}",)
            assert [piece.name for piece in scene.pieces] == [f"tier {scene.step.tier}"]


def test_mats_and_ornaments_are_there_from_their_own_step_on():
    card = tutor_card(
        layers=(Layer(on="back"),), ornaments=(Ornament(on="tier 3", height="2 in", width="1/2 in"),)
    )
    shown = {scene.step.kind: scene for scene in scenes(card)}
    assert shown["mat"].marked == ("mat for the back",)
    assert (shown["join"].layers, shown["join"].ornaments) == (False, False)
    assert (shown["foot"].layers, shown["foot"].ornaments) == (True, False)
    assert shown["ornament"].ornaments is True
    assert shown["ornament"].marked == ("ornament on tier 3",)


def test_every_piece_of_the_cut_list_is_in_hand_at_some_step():
    for card in (tutor_card(), cut_card(), tutor_card(layers=(Layer(on="tier 1"), Layer(on="front")))):
        held = {piece.name for scene in scenes(card) for piece in scene.pieces}
        assert held == {piece.name for piece in pk.cut_list(card)}
        assert all(scene.pieces for scene in scenes(card))
