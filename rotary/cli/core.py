"""The core as commands take it: each module is imported when it is first asked for.

A page of help and a command that only lists files so load nothing of the planner, though all is named at one place:
in the imports that a type checker reads, which are looked up here as they are written.
"""
# mypy: implicit-reexport
# ruff: noqa: F401, I001

import re
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from rotary import examples, exports, faults, job, model, plan, printer, series, sheet, shipped, template
    from rotary import units, wishes, wording
    from rotary.artwork import outfiles, pieces, rings, sets
    from rotary.card import patch_paper as cells_paper
    from rotary.inscription import actions as marking, card, depths as depth_results, front, lists, names, setting
    from rotary.inscription import files as inscription_files, work
    from rotary.machine import error_budget, level, lookup, papers as machine_papers, record as machine_record
    from rotary.machine import resume, seam_tests, store as machine_files, strip_papers, tapes, words
    from rotary.papers import formats, lines, model as paper, sizes, svg, text
    from rotary.passes.learning import depth as depth_beliefs, reading
    from rotary.passes.patch import drawing as patch_drawing
    from rotary.pictures import belief_changes
    from rotary.repeat import checks, lines as repeat_lines, run, standing
    from rotary.sentences import passes, patches as patch_words, plan as plan_words, seams
    from rotary.series import paper as names_paper, results
    from rotary.services import actions, artwork, cells, drawing, files, jobs, machines, papers, patches, planning
    from rotary.services import profiles, repairs, simulation
    from rotary.store import additions, changes, depths, history, index, logbook, near_profiles, profile_names
    from rotary.store import patch, places, profiles as stored_profiles, readings, record, schema, spare, transfer

_IMPORTS: Final = re.findall(r"^    from rotary\.?(\S*) import (.+)", Path(__file__).read_text("utf-8"), re.M)
_MODULES: Final = {
    alias or name: f"{package}.{name}".strip(".")
    for package, names in _IMPORTS
    for name, alias in re.findall(r"(\w+)(?: as (\w+))?", names)
}


def __getattr__(name: str) -> Any:
    if name not in _MODULES:
        raise AttributeError(name)
    globals()[name] = import_module(f"rotary.{_MODULES[name]}")
    return globals()[name]
