"""The phrase tables, read: each phrase with its places and the lengths worked out by hand."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

UNITS = {"in": "inch", "ft": "foot", "mm": "millimeter", "cm": "centimeter", "m": "meter", "yd": "yard"}


@dataclass(frozen=True)
class Phrase:
    """A phrase without its marks, where its lengths stand and what they are."""

    kind: str
    text: str
    places: tuple[tuple[int, int], ...]
    lengths: tuple[tuple[Fraction, str] | None, ...]
    unit: str

    @property
    def is_doubtful(self) -> bool:
        return self.kind == "doubtful"

    def __str__(self) -> str:
        return f"{self.kind}: {self.text}"


def phrases(name: str) -> list[Phrase]:
    """Every phrase of a table beside this file."""
    table = tomllib.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))
    return [_phrase(kind, row) for kind, rows in table.items() for row in rows]


def _phrase(kind: str, row: dict[str, str]) -> Phrase:
    text, places, start = "", [], 0
    for char in row["say"]:
        if char == "⟦":
            start = len(text)
        elif char == "⟧":
            places.append((start, len(text)))
        else:
            text += char
    lengths = tuple(_length(one.strip()) for one in row.get("are", "").split(",") if one.strip())
    assert len(lengths) == len(places), f"{row['say']}: {len(places)} places, {len(lengths)} lengths"
    return Phrase(kind, text, tuple(places), lengths, row.get("unit", "in"))


def _length(text: str) -> tuple[Fraction, str] | None:
    if text == "none":
        return None
    number, unit = text.split()
    return Fraction(number), UNITS[unit]


FIRST, SECOND = phrases("phrases.toml"), phrases("second_phrases.toml")
EVERY = FIRST + SECOND
