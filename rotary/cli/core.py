"""The core as commands take it: each name is imported when it is first asked for.

A page of help and a command that only lists files so load nothing of the planner, though all is named at one place.
"""
# mypy: implicit-reexport
# ruff: noqa: F401, I001

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rotary import (
        examples, exports, faults, job, model, plan, printer, series, sheet, shipped, template, units, wishes, wording,
    )  # fmt: skip
    from rotary.actions.models import Actions
    from rotary.artwork import models, outfiles, pieces, rings, sets
    from rotary.card.patch_paper import patch_paper
    from rotary.inscription import card, front, names, setting, whole, work
    from rotary.inscription.actions import drawn_marks, plan_of_marks, repeat_of_marks, words_on_wall
    from rotary.inscription.depths import DepthResult, depth_of
    from rotary.machine import equipment, level, lookup, matters, resume, seam_tests, strip_papers, tapes, words
    from rotary.machine.papers import resume_paper
    from rotary.machine.readings import KINDS
    from rotary.machine.record import MachineRecord
    from rotary.machine.store import machine_path
    from rotary.papers import formats, lines, sizes, svg, text
    from rotary.papers.drawing import PaperPicture
    from rotary.papers.model import Paper
    from rotary.passes.learning.coating import taught_rows
    from rotary.passes.learning.depth import DepthReading
    from rotary.passes.learning.reading import Reading
    from rotary.passes.patch.cells import PatchToMark, named_patch
    from rotary.passes.patch.drawing import patch_svg
    from rotary.pictures import picture
    from rotary.pictures.taught import taught_picture
    from rotary.repeat import checks, holding, run, telling
    from rotary.repeat.standing import Repeat
    from rotary.sentences.passes import first_line
    from rotary.sentences.patches import reading_lines, suggestion_lines, taught_lines
    from rotary.sentences.plan import plan_in_words, plan_schema
    from rotary.sentences.seams import notes as seam_notes
    from rotary.series.paper import names_sheet
    from rotary.series.results import ListWish, Outcome, refuse_full
    from rotary.services import (
        actions, artwork, cells, drawing, files, jobs, machines, papers, patches, planning, profiles, simulation,
    )  # fmt: skip
    from rotary.shipped import machine_folder
    from rotary.store import (
        carrying, changes, depths, finding, history, index, keeping, logbook, naming, noting, places, readings, record,
        schema, spare,
    )  # fmt: skip
    from rotary.store.patch import PatchWish
else:
    import re
    import sys
    from importlib import import_module
    from inspect import getsource

    _LINES = re.findall(r"^ +from rotary\.?(\S*) import ([^(\n]+|\([^)]+)", getsource(sys.modules[__name__]), re.M)
    _PLACES = {
        alias or own: (home, own) for home, names in _LINES for own, alias in re.findall(r"(\w+)(?: as (\w+))?", names)
    }

    def __getattr__(name: str) -> Any:
        if name not in _PLACES:
            raise AttributeError(name)
        home, own = _PLACES[name]
        package = import_module(f"rotary.{home}") if home else None
        globals()[name] = (
            getattr(package, own) if hasattr(package, own) else import_module(f"rotary.{home and home + '.'}{own}")
        )
        return globals()[name]
