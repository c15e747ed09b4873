"""Handouts: a recipe or a card, printed as a tagged PDF that a class works from.

`write_handout` writes one, `preview_pages` shows its pages; `EDITIONS` lists the kinds there are.
Typst is loaded when the first page is set.

Imports: everything above it in the house, and within: files, typesetting, printer, job, pictures,
student, template, scores, editions, writing, cutfiles, each only those before it.
"""

from popkit.handout.cutfiles import CUT_FORMS, write_cut_files
from popkit.handout.editions import EDITIONS, Edition
from popkit.handout.files import HandoutError
from popkit.handout.job import PAPERS
from popkit.handout.printer import PrinterCorrection
from popkit.handout.writing import handout_bytes, preview_pages, write_handout

__all__ = [
    "CUT_FORMS",
    "EDITIONS",
    "PAPERS",
    "Edition",
    "HandoutError",
    "PrinterCorrection",
    "handout_bytes",
    "preview_pages",
    "write_cut_files",
    "write_handout",
]
