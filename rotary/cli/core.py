"""The core as commands take it: each name is imported when it is first asked for.

A page of help and a command that only lists files so load nothing of the planner, though all is named at one place.
"""
# mypy: implicit-reexport

import ast
import sys
from importlib import import_module
from inspect import getsource
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    # ruff: noqa: F401
    from rotary.actions.models import Actions
    from rotary.artwork.models import Artwork, Piece, size_texts
    from rotary.artwork.outfiles import MADE_BY, refuse_file, refuse_folder, write_file
    from rotary.artwork.pieces import Ink, text_in_frame
    from rotary.artwork.rings import NO_INK
    from rotary.artwork.sets import Over, refuse_earlier, write_all
    from rotary.card.patch_paper import patch_paper
    from rotary.examples import banner
    from rotary.exports import RasterWish
    from rotary.faults import model_from_texts
    from rotary.inscription.actions import drawn_marks, plan_of_marks, repeat_of_marks
    from rotary.inscription.card import depth_lines, inscription_lines
    from rotary.inscription.depths import depth_of
    from rotary.inscription.names import LetterSizes, from_list, from_numbers, names, number_range
    from rotary.inscription.paper import inscription_by_height
    from rotary.inscription.setting import with_font_path
    from rotary.inscription.whole import Whole, inscribed
    from rotary.inscription.work import deepened, forecast, size, stand_in
    from rotary.job import Job, job_from_bytes, job_from_file, job_schema, job_text
    from rotary.model import Model
    from rotary.papers.drawing import PaperPicture
    from rotary.papers.formats import document, ending_of
    from rotary.papers.lines import wrapped
    from rotary.papers.model import Paper
    from rotary.papers.sizes import Sizes
    from rotary.papers.svg import svg_text
    from rotary.papers.text import text_lines
    from rotary.passes.learning.coating import taught_rows
    from rotary.passes.learning.depth import DepthAnswer, DepthReading
    from rotary.passes.learning.reading import Reading
    from rotary.passes.patch.cells import PatchToMark, named_patch
    from rotary.passes.patch.drawing import patch_svg
    from rotary.pictures import picture
    from rotary.pictures.taught import taught_picture
    from rotary.plan import Plan
    from rotary.printer import SheetName, usual_sheet
    from rotary.repeat.checks import with_setup_of
    from rotary.repeat.holding import DRAWS, plan_as_run
    from rotary.repeat.recording import numbers_run
    from rotary.repeat.run import CameClean
    from rotary.repeat.standing import Repeat
    from rotary.repeat.telling import repeat_json
    from rotary.rig.equipment import LABEL
    from rotary.rig.level import levelling
    from rotary.rig.machine import added, on_its_rig, refuse_unknown, renamed, rig_names, with_its_laser
    from rotary.rig.matters import matters, matters_lines
    from rotary.rig.papers import resume_paper
    from rotary.rig.record import Rig
    from rotary.rig.resume import Remainder, TickReadings, done_from_text, remainder, remaining_files, witness_ticks
    from rotary.rig.store import rig_folder, rig_path
    from rotary.rig.strip_papers import numbered_lines, strip_files
    from rotary.rig.tapes import tapes
    from rotary.rig.words import equipment_lines, rig_json, rig_lines
    from rotary.sentences.passes import first_line
    from rotary.sentences.patches import reading_lines, suggestion_lines, taught_lines
    from rotary.sentences.plan import plan_in_words, plan_schema
    from rotary.sentences.seams import notes as seam_notes
    from rotary.series import SeriesWish, series
    from rotary.series.results import ListWish, refuse_full
    from rotary.services.actions import actions_for, actions_of_fault, actions_of_repeat, short_answer, steps_after_run
    from rotary.services.artwork import drawing_files, ink_for
    from rotary.services.cells import OUTCOME_WORDS, TaughtPlan, cells_recorded, run_as_reading, taught
    from rotary.services.drawing import DrawOrder, dot_files, flat_files, sliced_files
    from rotary.services.files import with_sizes, write_drawings
    from rotary.services.jobs import tables_of_job
    from rotary.services.machines import (
        MachineOfJob,
        as_measured,
        changed,
        ignored,
        machine_named,
        machine_of_job,
        program_recorded,
        record_gap_ladder,
        recorded,
        seam_test,
        seam_test_read,
    )
    from rotary.services.papers import PrintOrder, kind_of, picture_file, print_paper, setup_card_lines, template_files
    from rotary.services.patches import next_patch, suggestions_for, window_taught
    from rotary.services.planning import plan_for
    from rotary.services.profiles import MachineAt, SaveWish, prove_run, proven_profile, save_job
    from rotary.services.simulation import forecast_picture, simulation_of_files
    from rotary.sheet import SheetWish
    from rotary.shipped import FIRST, examples, profile_folder, tool_version
    from rotary.store.carrying import export, preview, take
    from rotary.store.changes import profile_changes, run_values
    from rotary.store.depths import (
        FILE_NAME,
        add_depths,
        depth_readings,
        depth_text,
        depths_in,
        keep_depths,
        strike_depth,
    )
    from rotary.store.finding import nearest
    from rotary.store.history import binned, choose, discard, history_of, mend, restore, taken_back
    from rotary.store.index import ProfileEntry, entries, search
    from rotary.store.keeping import Damaged, OpenedProfile, Saved, copy, load, located, rename
    from rotary.store.logbook import Run, log, logbook, power_from_text, run_of, totals
    from rotary.store.naming import checked_name
    from rotary.store.noting import add_note, add_reading, artwork_file, strike_reading
    from rotary.store.patch import PatchWish
    from rotary.store.places import label, read, versions
    from rotary.store.readings import close_patch, readings_in, strike
    from rotary.store.record import ArtworkFile, RunReading, now
    from rotary.store.schema import profile_schema
    from rotary.store.spare import edits
    from rotary.template import TemplateWish
    from rotary.units import UnitError, value_from_text
    from rotary.wishes import Wishes
    from rotary.wording import InscriptionWish
else:
    _HOMES = {
        name.asname or name.name: (node.module.removeprefix("rotary."), name.name)
        for node in ast.walk(ast.parse(getsource(sys.modules[__name__])))
        if isinstance(node, ast.ImportFrom) and node.module.startswith("rotary.")
        for name in node.names
    }

    def __getattr__(name: str) -> Any:
        if name not in _HOMES:
            raise AttributeError(name)
        home, own = _HOMES[name]
        return getattr(import_module(f"rotary.{home}"), own)
