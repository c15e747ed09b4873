"""Random cards to draw, and a reader of SVG that shares nothing with the drawing code.

The reader uses ElementTree for the markup, shapely for the geometry and fontTools, on the file of
DejaVu Sans that matplotlib ships, for the extents of words.
"""

from __future__ import annotations

import math
import random
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path
from xml.etree import ElementTree

import shapely
from fontTools.ttLib import TTFont
from matplotlib import get_data_path
from shapely import affinity

import popkit as pk

SVG = "{http://www.w3.org/2000/svg}"


# Cards --------------------------------------------------------------------------


def tutor_card() -> pk.Card:
    """A 5 x 7 in card with a clear front and three tiers."""
    faces = ("3 1/2 in", "3 in", "2 1/2 in")
    return pk.Card(
        width="5 in",
        height="7 in",
        tiers=tuple(pk.Tier(face=face, depth="1/2 in") for face in faces),
        front=pk.ClearFront(),
    )


def cut_step_card(count: int = 3) -> pk.Card:
    """An A6 card whose steps are cut from the card itself."""
    return pk.Card(
        width="105 mm", height="148 mm", tiers=pk.stepped_tiers("148 mm", count, form=pk.CutStep)
    )


def random_card(rng: random.Random) -> pk.Card:
    """Any card that can exist, good craft or not, in inches or millimetres; zones from 3 mm."""
    while True:
        try:
            card = _random_card(rng)
            pk.cut_list(card)
        except (pk.CardError, pk.LengthError):
            continue
        return card


def _random_card(rng: random.Random) -> pk.Card:
    inch = rng.random() < 0.5

    def size(low_mm: int, high_mm: int) -> pk.Length:
        if inch:
            return pk.Q(Fraction(rng.randint(low_mm * 10, high_mm * 10) * 16 // 254, 16), "inch")
        return pk.Q(Fraction(rng.randint(low_mm * 2, high_mm * 2), 2), "millimeter")

    count = rng.randint(1, 8)
    tall = rng.randint(70, 320)
    cut = rng.random() < 0.3
    tiers = []
    for number in range(count):
        face, depth = size(8, max(9, tall * 2 // 3 - 6 * number)), size(4, rng.choice((8, 30)))
        if cut:
            tiers.append(pk.CutStep(face=face, depth=depth))
        else:
            tabs = {} if rng.random() < 0.5 else {"top_tab": size(3, 15), "bottom_tab": size(3, 15)}
            tiers.append(pk.Tier(face=face, depth=depth, **tabs))
    front = rng.choice((pk.ClearFront, pk.JoinedFront, pk.OnePieceFront))
    length = {"length": size(tall // 2, tall)} if rng.random() < 0.3 else {}
    return pk.Card(
        width=size(40, 260),
        height=size(tall, tall),
        tiers=tuple(tiers),
        front=(pk.OnePieceFront if cut else front)(**length),
    )


def random_cards(count: int, seed: int = 20260) -> list[pk.Card]:
    rng = random.Random(seed)
    return [random_card(rng) for _ in range(count)]


# Reading a picture --------------------------------------------------------------


@dataclass(frozen=True)
class Shape:
    """One element: its tag, the classes of the groups around it, its attributes, its geometry."""

    tag: str
    kinds: tuple[str, ...]
    attributes: dict[str, str]
    geometry: shapely.Geometry
    text: str = ""
    order: int = 0

    def is_in(self, kind: str) -> bool:
        return kind in self.kinds


@lru_cache(maxsize=1)
def _dejavu() -> tuple[dict, dict, object]:
    font = TTFont(Path(get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf")
    return font.getBestCmap(), font["hmtx"].metrics, font["glyf"]


@cache
def glyph(char: str) -> tuple[float, float, float, float, float]:
    """Advance, left, bottom, right and top of a character's ink, in ems."""
    names, advances, outlines = _dejavu()
    name = names[ord(char)]
    outline = outlines[name]
    if outline.numberOfContours == 0:
        return advances[name][0] / 2048, 0.0, 0.0, 0.0, 0.0
    edges = (outline.xMin, outline.yMin, outline.xMax, outline.yMax)
    return tuple(value / 2048 for value in (advances[name][0], *edges))


@cache
def _ink(text: str) -> tuple[float, tuple[float, float, float, float] | None]:
    """Width of a line, and the box of its ink from the start of its baseline, in ems."""
    at, boxes = 0.0, []
    for char in text:
        advance, left, bottom, right, top = glyph(char)
        if right > left:
            boxes.append((at + left, bottom, at + right, top))
        at += advance
    if not boxes:
        return at, None
    left, bottom, right, top = zip(*boxes, strict=True)
    return at, (min(left), min(bottom), max(right), max(top))


def _matrix(transform: str) -> list[tuple[str, list[float]]]:
    found = re.findall(r"(translate|rotate)\(([^)]*)\)", transform)
    return [(kind, [float(value) for value in re.split(r"[ ,]+", body.strip())]) for kind, body in found]


def _moved(geometry: shapely.Geometry, transforms: list[str]) -> shapely.Geometry:
    for transform in reversed(transforms):
        for kind, values in reversed(_matrix(transform)):
            if kind == "translate":
                geometry = affinity.translate(geometry, *values)
            else:
                geometry = affinity.rotate(geometry, values[0], origin=(0, 0))
    return geometry


def _points(text: str) -> list[tuple[float, float]]:
    return [tuple(float(value) for value in pair.split(",")) for pair in text.split()]


def _path(d: str) -> shapely.Geometry:
    if "A" in d:  # an arc less than half a circle, anticlockwise on the page, about the origin
        x1, y1, radius, x2, y2 = (
            float(value)
            for value in re.fullmatch(r"M(\S+) (\S+)A(\S+) \S+ 0 0 0 (\S+) (\S+)", d).groups()
        )
        start, stop = math.atan2(-y1, x1), math.atan2(-y2, x2)
        steps = [start + (stop - start) * step / 90 for step in range(91)]
        return shapely.LineString([(radius * math.cos(a), -radius * math.sin(a)) for a in steps])
    rings = [
        [tuple(float(value) for value in pair.split(",")) for pair in ring.split("L")]
        for ring in re.findall(r"M([^MZ]*)Z", d)
    ]
    return shapely.Polygon(rings[0], rings[1:])


def _geometry(element: ElementTree.Element, size: float) -> shapely.Geometry | None:
    a = element.attrib
    tag = element.tag.removeprefix(SVG)
    if tag == "rect":
        x, y, wide, tall = (float(a.get(name, 0)) for name in ("x", "y", "width", "height"))
        return shapely.box(x, y, x + wide, y + tall)
    if tag == "line":
        return shapely.LineString([(float(a["x1"]), float(a["y1"])), (float(a["x2"]), float(a["y2"]))])
    if tag == "polyline":
        return shapely.LineString(_points(a["points"]))
    if tag == "polygon":
        return shapely.Polygon(_points(a["points"]))
    if tag == "circle":
        return shapely.Point(float(a["cx"]), float(a["cy"])).buffer(float(a["r"]))
    if tag == "path":
        return _path(a["d"])
    if tag == "text":
        wide, ink = _ink(element.text)
        if ink is None:
            return None
        wide *= size
        shift = {"start": 0, "middle": wide / 2, "end": wide}[a.get("text-anchor", "start")]
        x, y = float(a.get("x", 0)) - shift, float(a.get("y", 0))
        return shapely.box(x + ink[0] * size, y - ink[3] * size, x + ink[2] * size, y - ink[1] * size)
    return None


def read_svg(svg: str) -> list[Shape]:
    """Every drawn element of a picture, in painting order, in the picture's millimetres."""
    root = ElementTree.fromstring(svg)
    shapes: list[Shape] = []

    def walk(element, kinds, inherited, transforms):
        if element.tag in (SVG + "defs", SVG + "title", SVG + "desc"):
            return
        attributes = {**inherited, **element.attrib}
        for own in ("id", "class", "transform"):
            if own not in element.attrib:
                attributes.pop(own, None)
        moves = transforms + ([element.attrib["transform"]] if "transform" in element.attrib else [])
        around = kinds + ((element.attrib["class"],) if "class" in element.attrib else ())
        geometry = _geometry(element, float(attributes["font-size"]))
        if geometry is not None:
            shapes.append(
                Shape(
                    element.tag.removeprefix(SVG),
                    around,
                    attributes,
                    _moved(geometry, moves),
                    element.text or "",
                    len(shapes),
                )
            )
        for child in element:
            walk(child, around, attributes, moves)

    walk(root, (), {}, [])
    return shapes


def words(shapes: list[Shape]) -> list[Shape]:
    return [shape for shape in shapes if shape.tag == "text"]


def view_box(svg: str) -> shapely.Geometry:
    left, top, wide, tall = (
        float(value) for value in ElementTree.fromstring(svg).attrib["viewBox"].split()
    )
    return shapely.box(left, top, left + wide, top + tall)
