"""A sentence with its figures, said later in whatever language is asked for.

Imports: lengths, language.
"""

from __future__ import annotations

from dataclasses import dataclass

from popkit.language import BRITISH, Language
from popkit.lengths import Grid, Length, mm

__all__ = ["Figures", "Limit", "Name", "OnRuler", "Saying"]


class Figures(str):
    """A number written out, "1.381": a language may want another decimal sign."""

    __slots__ = ()


class Name(str):
    """The name of a piece or a stock, which a language may have its own word for."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class OnRuler:
    """A length as it is read off a ruler."""

    length: Length
    ruler: str


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit as published, and on another ruler rounded to the safe side.

    limit  as published
    other  on the other ruler
    """

    limit: Length
    other: Length


@dataclass(frozen=True, slots=True)
class Saying:
    """A sentence or a clause with named places, and what goes in them.

    template  marked for the catalogues with `language.message`
    values    (place, value): a length is shown in full, `OnRuler` on its ruler, a `Limit` both
              ways, `Figures` with the language's decimal sign, a `Name` by its own word, a `Saying`
              said likewise, all else as it is
    """

    template: str
    values: tuple[tuple[str, object], ...] = ()

    @classmethod
    def of(cls, template: str, **values: object) -> Saying:
        """With its values by name."""
        return cls(template, tuple(values.items()))

    def said(self, language: Language = BRITISH) -> str:
        """In a language."""
        return language.say(
            self.template, **{name: _shown(value, language) for name, value in self.values}
        )

    def __str__(self) -> str:
        return self.said()


def _shown(value: object, language: Language) -> str:
    if isinstance(value, Saying):
        return value.said(language)
    if isinstance(value, Limit):
        if mm(value.other) == 0:
            return language.show_exact(value.limit)
        return f"{language.show_exact(value.limit)} ({language.show_exact(value.other)})"
    if isinstance(value, OnRuler):
        return language.show(value.length, Grid(value.ruler))
    if isinstance(value, Name):
        return language.name(str(value))
    if isinstance(value, Figures):
        return language.decimal(str(value))
    return str(value) if isinstance(value, str | int) else language.show_exact(value)
