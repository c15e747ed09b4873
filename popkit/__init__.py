"""popkit: a teaching kit for tiered pop-up cards.

A recipe becomes a card, a card becomes pieces, and pieces become pictures, checks, plans and
pages. Every public name is found here; its module is loaded when the name is first used, so
`import popkit` itself loads neither pint nor any drawing, notebook or printing library.
"""

from importlib import import_module

__version__ = "0.1.0"

_HOME = {
    "lengths": (
        "Grid Length LengthError Q from_mm mm parse_length show_both show_exact show_length ureg"
    ),
    "language": "LANGUAGES Language LanguageError as_language",
    "papers": (
        "CLEAR_SHEET ENVELOPES GRADES LIGHT_CARD MEDIUM_CARD PADDED SHEETS SIZES STOCKS Envelope Sheet "
        "Stock as_envelope as_sheet as_stock caliper clear_sheet grammage points pounds"
    ),
    "card": (
        "Card CardError ClearFront CutStep Front JoinedFront Layer OnePieceFront Ornament Tier "
        "place_names stepped_tiers"
    ),
    "areas": "Area",
    "pieces": "Crease Piece Slit Zone cut_list",
    "folding": (
        "FoldError Pose closed_margins closed_reach is_hidden opening_limit opens_to pose "
        "tallest_ornament"
    ),
    "ornaments": "OrnamentFit ornament_places places_for",
    "standing": "Standing centre_of_mass masses",
    "assembly": "assembly_steps cautions materials score_chart",
    "checks": "Change Finding Remedy check mended",
    "regridding": "Move NumberByNumber RegridError Regridded number_by_number regrid",
    "resizing": "CARD_SIZES largest_from_sheet largest_in_envelope resize",
    "wording": "Found Rewritten find_lengths pieces_in rewrite rewritten",
    "services": "SERVICES as_service post_class",
    "sending": "read_envelope sending_lines",
    "posting": "BoxEnvelope advice box_envelope check_post envelopes_for",
    "classplan.plan": "plan_sheets",
    "classplan.classes": "ClassPlan StockPlan plan_class",
    "classplan.prices": "Pack PriceError PriceList load_prices read_prices save_prices",
    "classplan.shopping": "Shopping shopping_list",
    "classplan.kits": "Kit",
    "classplan.one_sheet": "best_sheet offcuts_give",
    "classplan.order": "PlanError",
    "classplan.preparing": "Minutes Timetable kit_list timetable",
    "classplan.growth": "class_sizes",
    "converting": "Conversion converted_card converted_text",
    "lesson": "KINDS Exercise ExerciseError Marked exercises mark",
    "recipe": "Recipe RecipeError load_recipe read_recipe recipe_files recipe_text save_recipe",
    "roster": "Roster RosterError Student read_roster roster_text save_roster seats",
    "drawing": (
        "describe_finished describe_oblique describe_piece describe_pieces describe_side "
        "draw_finished draw_oblique draw_piece draw_pieces draw_side"
    ),
    "handout": "EDITIONS HandoutError handout_bytes preview_pages write_handout",
    "handout.classes": "write_class",
    "handout.cutfiles": "write_cut_files",
    "handout.plan": "write_class_plan",
    "handout.printer": "PrinterCorrection",
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names.split()}

__all__ = sorted(_MODULE_OF)


def __getattr__(name: str) -> object:
    if name in _MODULE_OF:
        return getattr(import_module(f"popkit.{_MODULE_OF[name]}"), name)
    raise AttributeError(f"popkit has no {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
