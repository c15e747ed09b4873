"""The handouts that are kept beside the recipes, made anew: python -m popkit.handout.samples

Imports: language, recipe, classplan, writing, plan.
"""

from __future__ import annotations

import argparse
import os
from dataclasses import dataclass
from pathlib import Path

from popkit.classplan.classes import plan_class
from popkit.classplan.preparing import Minutes
from popkit.classplan.prices import load_prices
from popkit.handout.plan import write_class_plan
from popkit.handout.writing import write_handout
from popkit.language import BRITISH, as_language
from popkit.recipe import load_recipe

__all__ = ["PLANS", "SAMPLES", "PlanSample", "Sample", "write_samples"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One handout to keep: the recipe's file name without its ending, and what is asked for."""

    recipe: str
    edition: str = "student"
    paper: str = "A4"
    large_print: bool = False
    language: str = BRITISH.code
    seed: int | tuple[int, ...] | None = None

    @property
    def file_name(self) -> str:
        """ "harbour-lights-student-letter.pdf", "ferry-steps-student-a4-large-print.pdf"."""
        parts = [self.recipe, self.edition, self.paper.casefold()]
        parts += ["large-print"] * self.large_print
        parts += [as_language(self.language).tag.casefold()] * (self.language != BRITISH.code)
        return "-".join(parts) + ".pdf"


SAMPLES = (
    Sample(recipe="harbour-lights", paper="Letter"),
    Sample(recipe="ferry-steps", large_print=True),
    Sample(recipe="ferry-steps", edition="template"),
    Sample(recipe="harbour-lights", edition="scores", paper="Letter"),
    Sample(recipe="harbour-lights", edition="tutor", seed=(7, 8)),
    Sample(recipe="harbour-lights", edition="worksheet", seed=7),
    Sample(recipe="harbour-lights", edition="answers", seed=(7, 8)),
    Sample(recipe="kitchen-garden-stile", edition="worksheet", paper="Letter", large_print=True, seed=5),
    Sample(recipe="allotment", language="de"),
    Sample(recipe="allotment", edition="worksheet", language="de", seed=7),
    Sample(recipe="kitchen-garden-stile", paper="Letter", language="en_US"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSample:
    """One plan of a class to keep: a recipe, for how many, and what is asked for."""

    recipe: str
    students: int
    spares: int = 0
    paper: str = "A4"
    large_print: bool = False
    language: str = BRITISH.code

    @property
    def file_name(self) -> str:
        """ "ferry-steps-plan-a4-large-print-de.pdf"."""
        parts = [self.recipe, "plan", self.paper.casefold()]
        parts += ["large-print"] * self.large_print
        parts += [as_language(self.language).tag.casefold()] * (self.language != BRITISH.code)
        return "-".join(parts) + ".pdf"


PLANS = (PlanSample(recipe="ferry-steps", students=12, spares=2, large_print=True, language="de"),)
_MINUTES = Minutes(cut="0.5", setting=1, score="0.25", slit=1, bag=2)  # made up


def write_samples(recipes: str | os.PathLike, folder: str | os.PathLike) -> list[Path]:
    """Make every sample from a folder of recipes in another folder; prices.toml lies beside the first.

    Returns: the paths, in the order of `SAMPLES` and `PLANS`.
    Raises: RecipeError, PriceError, HandoutError.
    """
    recipes, folder = Path(recipes), Path(folder)
    handouts = [
        write_handout(
            load_recipe(recipes / f"{sample.recipe}.toml"),
            folder / sample.file_name,
            edition=sample.edition,
            paper=sample.paper,
            large_print=sample.large_print,
            language=sample.language,
            seed=sample.seed,
        )
        for sample in SAMPLES
    ]
    prices = load_prices(recipes.parent / "prices.toml")
    plans = [
        write_class_plan(
            plan_class(
                [(load_recipe(recipes / f"{sample.recipe}.toml"), sample.students)],
                spares=sample.spares,
            ),
            folder / sample.file_name,
            prices=prices,
            minutes=_MINUTES,
            paper=sample.paper,
            large_print=sample.large_print,
            language=sample.language,
        )
        for sample in PLANS
    ]
    return handouts + plans


def main() -> None:
    """The command line: from notebooks/recipes to handouts, unless told otherwise."""
    parser = argparse.ArgumentParser(description="Make the sample handouts anew.")
    parser.add_argument("--recipes", default="notebooks/recipes", help="folder of recipes")
    parser.add_argument("--folder", default="handouts", help="folder of handouts")
    asked = parser.parse_args()
    for path in write_samples(asked.recipes, asked.folder):
        print(path)


if __name__ == "__main__":
    main()
