"""Panels: what a notebook shows, built of ipywidgets. The only place that knows of notebooks.

A panel asks `workbench` and `handout` for everything it shows and works out nothing itself.
Each name is loaded when it is first used; where a package is missing, that says so in plain words.
`python -m popkit.panels.regenerate` makes the outputs of the notebooks anew.
"""

from importlib import import_module

_HOME = {
    "charts": "Chart finished_chart opening_chart thickness_chart tipping_chart",
    "classplan": "ClassPanel ClassSizes",
    "conversion": "ConversionPanel Shifts",
    "demo": "DemoPanel",
    "finishing": "FinishingPanel",
    "gallery": "Gallery front_door",
    "handout": "HandoutPanel",
    "lesson": "LessonPanel",
    "lesson_exercises": "ExercisesPanel",
    "lesson_scene": "PredictionPanel",
    "pages": "Pages Picture Text pieces_picture safety",
    "places": "handout_folder",
    "readiness": "NotReadyError Ready ready",
    "stage": "Frame Stage",
    "steps": "StepsPanel",
}
_MODULE_OF = {name: module for module, names in _HOME.items() for name in names.split()}

__all__ = sorted(_MODULE_OF)


def __getattr__(name: str) -> object:
    if name not in _MODULE_OF:
        raise AttributeError(f"popkit.panels has no {name!r}")
    try:
        return getattr(import_module(f"popkit.panels.{_MODULE_OF[name]}"), name)
    except ModuleNotFoundError:
        from popkit.panels.readiness import NotReadyError, missing_packages

        missing = missing_packages()
        if not missing:
            raise
        raise NotReadyError(*missing) from None


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
