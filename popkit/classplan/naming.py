"""Names of a class plan as they are printed in a language: of cards, pieces and what goes in a bag.

A plan keeps its names as they were given or made, in English; here they are said.

Imports: language.
"""

from __future__ import annotations

from collections.abc import Iterable

from popkit.language import BRITISH, Language, message

__all__ = ["anded", "card_name", "ored", "piece_name"]

_RULERS = {
    ", in inches": message("{card}, in inches"),
    ", in millimetres": message("{card}, in millimetres"),
}


def card_name(name: str, language: Language = BRITISH) -> str:
    """Of a card; what a kit adds to it about its ruler is said in the language."""
    for ending, text in _RULERS.items():
        if name.endswith(ending):
            return language.say(text, card=name.removesuffix(ending))
    return name


def piece_name(name: str, language: Language = BRITISH) -> str:
    """Of a piece, perhaps with its card before it: "Ferry steps: tier 2"."""
    known = language.name(name)
    if language == BRITISH or known != name:
        return known
    card, mark, piece = name.rpartition(": ")
    return f"{card_name(card, language)}{mark}{language.name(piece)}" if mark else name


def anded(names: Iterable[str], language: Language = BRITISH) -> str:
    """ "a and b", "a and b and c": for what is short, and where commas stand for something else."""
    return _joined(names, message("{first} and {next}"), language)


def ored(names: Iterable[str], language: Language = BRITISH) -> str:
    """ "a or b", "a or b or c"."""
    return _joined(names, message("{first} or {next}"), language)


def _joined(names: Iterable[str], text: str, language: Language) -> str:
    said = ""
    for name in names:
        said = language.say(text, first=said, next=name) if said else name
    return said
