"""A printer that is a little off: what its bars measure, and how much to draw larger or smaller.

Imports: lengths, language, files.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from popkit.handout.files import HandoutError
from popkit.language import BRITISH, Language, message
from popkit.lengths import Length, LengthError, as_length, from_mm, in_inches, mm, show_exact, unit_of

__all__ = ["BARS", "PrinterCorrection"]

BARS = {"mm": from_mm(100), "in": from_mm(Fraction(508, 5), "inch")}
"""The bars on a page at true size, by the unit they are measured in: 100 mm and 4 in."""

_MOST = Fraction(1, 10)  # more is no printer's own error: "fit to page" takes 3 to 10 % off


@dataclass(frozen=True, slots=True, kw_only=True)
class PrinterCorrection:
    """What a ruler shows on the bars of a page that was printed without a correction.

    across  the bar along the short side of the paper, as in "98.5 mm" or "3 15/16 in"; None: true
    along   the bar along its long side; None: true
    bar     the bar that was measured, "100 mm" or "4 in"; unless given it is the 4 in bar for a
            length in inches and the 100 mm bar for any other
    Raises: HandoutError with every fault; one is a bar that is more than a tenth off.
    """

    across: Length | None = None
    along: Length | None = None
    bar: Length | None = None

    def __post_init__(self) -> None:
        faults: list[str] = []
        for name in ("across", "along", "bar"):
            given = getattr(self, name)
            if given is None:
                continue
            try:
                object.__setattr__(self, name, as_length(given))
            except LengthError as fault:
                faults.append(f"The printer correction, {name}: {fault}")
        if not faults:
            self._check(faults)
        if faults:
            raise HandoutError(*faults)

    def _check(self, faults: list[str]) -> None:
        if self.across is None and self.along is None:
            faults.append(
                "The printer correction has no measure. Write what the ruler shows, as in "
                'PrinterCorrection(across="98.5 mm", along="99.2 mm").'
            )
        if self.bar is not None and mm(self.bar) not in [mm(bar) for bar in BARS.values()]:
            faults.append(
                f"The printer correction, bar: no bar is {show_exact(self.bar)} long. Write “100 mm” or "
                "“4 in”."
            )
            return
        for name in ("across", "along"):
            measured = getattr(self, name)
            if measured is None:
                continue
            bar = self._bar(measured)
            off = mm(measured) / mm(bar) - 1
            if abs(off) > _MOST:
                faults.append(
                    f"The printer correction, {name}: a bar of {show_exact(bar)} that measures "
                    f"{show_exact(measured)} is {round(abs(off) * 100)} % off. “Fit to page” was "
                    "probably on: print again at 100 % (actual size) and measure again."
                )

    def _bar(self, measured: Length) -> Length:
        if self.bar is not None:
            return self.bar
        return BARS["in" if in_inches(unit_of(measured)) else "mm"]

    def scale(self, name: str) -> Fraction:
        """How many times as large to draw, "across" or "along": exact, 1 where it was not measured."""
        measured = getattr(self, name)
        return Fraction(1) if measured is None else mm(self._bar(measured)) / mm(measured)

    def told(self, language: Language = BRITISH) -> str:
        """What was measured, what is done about it and how to undo it, in sentences."""
        parts = [language.template(message("A printer correction is applied."))]
        for name, sentence in _MEASURED.items():
            measured = getattr(self, name)
            if measured is not None:
                parts.append(
                    language.say(
                        sentence,
                        bar=language.show_exact(self._bar(measured)),
                        measured=language.show_exact(measured),
                        percent=_percentage(self.scale(name), language),
                    )
                )
        return " ".join([*parts, *map(language.template, _UNDO)])


_MEASURED = {
    "across": message(
        "Across the paper the bar of {bar} measured {measured}, so all is drawn at {percent} % of "
        "its size."
    ),
    "along": message(
        "Along the paper the bar of {bar} measured {measured}, so all is drawn at {percent} % of "
        "its size."
    ),
}
_UNDO = (
    message("This suits that printer and that paper only."),
    message("To undo it, make these pages again without a correction."),
    message("Measure anew only on pages made without one."),
)


def _percentage(scale: Fraction, language: Language) -> str:
    """101.52 of a hundred: two decimals."""
    return language.number(scale * 100, 2)
