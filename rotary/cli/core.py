"""The core as commands take it: each module is imported when it is first asked for.

A page of help and a command that only lists files so load nothing of the planner, though all is named at one place.
"""
# mypy: implicit-reexport
# ruff: noqa: F401, I001

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from rotary import examples, exports, faults, job, model, pictures, plan, printer, series, sheet, shipped, template
    from rotary import units, wishes, wording
    from rotary.actions import models as action_rows
    from rotary.artwork import models, outfiles, pieces, rings, sets
    from rotary.card import patch_paper as cells_paper
    from rotary.inscription import actions as marking, card, depths as depth_results, front, names, setting
    from rotary.inscription import work, writing
    from rotary.machine import equipment, error_budget, level, lookup, papers as machine_papers
    from rotary.machine import readings as reading_kinds
    from rotary.machine import record as machine_record, resume, seam_tests, store as machine_files, strip_papers
    from rotary.machine import tapes, words
    from rotary.papers import drawing as paper_pictures, formats, lines, model as paper, sizes, svg, text
    from rotary.passes.learning import coating, depth as depth_beliefs, reading
    from rotary.passes.patch import cells as patch_cells, drawing as patch_drawing
    from rotary.pictures import belief_changes
    from rotary.repeat import checks, lines as repeat_lines, run, run_plan, standing
    from rotary.sentences import passes, patches as patch_words, plan as plan_words, seams
    from rotary.series import paper as names_paper, results
    from rotary.services import actions, artwork, cells, drawing, files, jobs, machines, papers, patches, planning
    from rotary.services import profiles, simulation
    from rotary.store import changes, depths, finding, history, index, keeping, logbook, naming, noting
    from rotary.store import patch, places, readings, record, schema, spare, transfer

_PACKAGES: Final = {
    "": "examples exports faults job model pictures plan printer series sheet shipped template units wishes wording",
    "actions": "action_rows=models",
    "artwork": "models outfiles pieces rings sets",
    "card": "cells_paper=patch_paper",
    "inscription": "card depth_results=depths front marking=actions names setting work writing",
    "machine": "equipment error_budget level lookup machine_files=store machine_papers=papers machine_record=record"
    " reading_kinds=readings resume seam_tests strip_papers tapes words",
    "papers": "formats lines paper=model paper_pictures=drawing sizes svg text",
    "passes.learning": "coating depth_beliefs=depth reading",
    "passes.patch": "patch_cells=cells patch_drawing=drawing",
    "pictures": "belief_changes",
    "repeat": "checks repeat_lines=lines run run_plan standing",
    "sentences": "passes patch_words=patches plan_words=plan seams",
    "series": "names_paper=paper results",
    "services": "actions artwork cells drawing files jobs machines papers patches planning profiles simulation",
    "store": "changes depths finding history index keeping logbook naming noting patch places readings record schema"
    " spare transfer",
}
"""The modules of each package; one that shares its name with another has one of its own here, before a sign."""

_MODULES: Final = {
    name.partition("=")[0]: f"{package}.{name.rpartition('=')[2]}".strip(".")
    for package, names in _PACKAGES.items()
    for name in names.split()
}


def __getattr__(name: str) -> Any:
    if name not in _MODULES:
        raise AttributeError(name)
    globals()[name] = import_module(f"rotary.{_MODULES[name]}")
    return globals()[name]
