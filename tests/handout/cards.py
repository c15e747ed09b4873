"""Cards of the Tidewell workshops, one of each kind."""

from popkit.card import Card, ClearFront, CutStep, JoinedFront, OnePieceFront, Tier, stepped_tiers

CARDS = {
    "clear": Card(
        width="5 in",
        height="7 in",
        tiers=tuple(Tier(face=face, depth="5/8 in") for face in ("3 5/8 in", "3 1/8 in", "2 5/8 in")),
        front=ClearFront(),
    ),
    "joined": Card(
        width="105 mm", height="148 mm", tiers=stepped_tiers("148 mm", 2), front=JoinedFront()
    ),
    "cut": Card(
        width="5 1/2 in",
        height="5 1/2 in",
        tiers=(CutStep(face="2 in", depth="1 in"), CutStep(face="1 in", depth="3/4 in")),
        front=OnePieceFront(),
    ),
    "mixed": Card(
        width="120 mm",
        height="120 mm",
        tiers=(CutStep(face="50 mm", depth="20 mm"), Tier(face="30 mm", depth="15 mm")),
        front=OnePieceFront(),
    ),
}
