"""The job as a person writes it: one TOML file, values as text with units."""

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

from pydantic import Field, ValidationError

from rotary.artwork.layout import Artwork
from rotary.defaults import STEP_FIGURES
from rotary.errors import Fault, brief, refuse, refuse_all
from rotary.examples import laser_example, laser_tables
from rotary.faults import faults_of
from rotary.files import LARGEST_JOB_BYTES, bytes_of_job_file, toml_tables
from rotary.item import Item
from rotary.laser import LaserAndLens
from rotary.model import Model
from rotary.old_keys import with_new_keys
from rotary.order import Order
from rotary.program import Program
from rotary.shop import Shop
from rotary.tolerances import Tolerances
from rotary.toml import toml_trouble, value_text
from rotary.turning.models import Drive
from rotary.wishes import Wishes
from rotary.wording import InscriptionWish

UNCOATED: Final = "none"
"""How a job file says that the metal is bare, since TOML has no word for nothing."""

WORDS_ALONE: Final = {"name": "words", "width": "1 mm", "height": "1 mm", "centre": "1 mm"}
"""The frame of a job that cuts words and has no artwork: the words' own size takes its place before anything is
planned."""


class Job(Model):
    """Everything that a plan is made from. A shipped laser is named by `use_laser` in the file.

    `machine` names the machine that it runs on: once something has been read at that one, the plan is made for it as
    measured. In a plan's own job it is empty, since drive, laser and tolerances are then the machine's. `inscription`
    is what is cut with words of its own, and needs no artwork. `program` is what the marking program can do,
    `order` how many pieces are wanted.
    """

    note: str = ""
    machine: str = Field(default="", max_length=120)
    item: Item
    turning: Drive
    laser: LaserAndLens
    artwork: Artwork
    tolerances: Tolerances = Field(default_factory=Tolerances)
    passes: Wishes = Field(default_factory=Wishes)
    shop: Shop = Field(default_factory=Shop)
    program: Program = Field(default_factory=Program)
    order: Order = Field(default_factory=Order)
    inscription: InscriptionWish | None = None

    @property
    def is_inscribed(self) -> bool:
        """Whether words are cut, which have files of their own."""
        return self.inscription is not None and bool(self.inscription.text.strip())

    def with_artwork(self, **changes: object) -> "Job":
        """The job with other values in its artwork."""
        return self.but(artwork=self.artwork.but(**changes))


def job_from_data(data: Mapping[str, Any], units: str = "must") -> Job:
    """A job from tables of texts, as a file or a screen holds them; raises Refused with every fault at once.

    `units` says what a bare number means: "must" refuses it, "mm" and "in" give it the unit
    that a field shows in that system.
    """
    tables = {name: value for name, value in with_new_keys(data).items() if name != "saved"}
    faults = _with_shipped_laser(tables)
    if isinstance(head := tables.get("laser"), Mapping) and (example := laser_example(head)):
        # However its figures came into the job, they stay an example's.
        tables["laser"] = {**head, "use": example}
    item = tables.get("item")
    if isinstance(item, Mapping) and item.get("coating") == UNCOATED:
        tables["item"] = {**item, "coating": None}
    if _has_words(tables) and isinstance(art := tables.get("artwork", {}), Mapping):
        tables["artwork"] = {**WORDS_ALONE, **art}
    try:
        job = Job.model_validate(tables, context={"units": units})
    except ValidationError as error:
        known = {fault.where for fault in faults}
        faults += [fault for fault in faults_of(error, Job) if fault.where not in known]
    refuse_all(faults)
    return job


def _has_words(tables: Mapping[str, Any]) -> bool:
    words = tables.get("inscription")
    return isinstance(words, Mapping) and bool(str(words.get("text", "")).strip())


Completed = Callable[[Mapping[str, Any]], Mapping[str, Any]]
"""Adds to a job's tables what stands elsewhere."""


def job_from_text(text: str, source: str = "job file", completed: Completed = dict) -> Job:
    """A job from TOML text, its tables `completed`; raises Refused with every fault at once."""
    try:
        data = toml_tables(text.removeprefix("\ufeff").replace("\r\n", "\n"))
    except RecursionError:
        raise refuse(
            "", f"{source} has too many tables within tables: write it like the examples (rotary job example)"
        ) from None
    except ValueError as trouble:
        says = toml_trouble(source, trouble)
        if source.lower().endswith((".csv", ".txt", ".svg", ".dxf", ".json", ".html")):
            says = f"{source} is not a job file: in its place write the .toml file of the job"
        raise refuse("", says) from None
    return job_from_data(completed(data))


def job_from_bytes(raw: bytes, source: str = "job file", completed: Completed = dict) -> Job:
    """A job from the bytes of a file, its tables `completed`; raises Refused where they are no text or no job."""
    if len(raw) > LARGEST_JOB_BYTES:
        raise refuse("", f"{source} is larger than 1 MB, so it is not a job file: name the .toml file of the job")
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        raise refuse(
            "", f"{source} is not text in UTF-8: save it as plain text in UTF-8, or name another file"
        ) from None
    return job_from_text(text, source, completed)


def job_from_file(path: Path, completed: Completed = dict) -> Job:
    """A job from a file, `completed`; raises FileTrouble where it can't be read, Refused where it is no job."""
    return job_from_bytes(bytes_of_job_file(path), brief(path, 80), completed)


def _with_shipped_laser(tables: dict[str, Any]) -> list[Fault]:
    """Put the shipped laser that `use_laser` or `laser.use` names under what the file says of it itself."""
    own = tables.get("laser", {})
    if "use_laser" in tables:
        where, name = "use_laser", tables.pop("use_laser")
    elif isinstance(own, Mapping) and "use" in own:
        where, name = "laser.use", own["use"]
    else:
        return []
    heads = laser_tables()
    own = {key: value for key, value in own.items() if key != "use"} if isinstance(own, Mapping) else own
    tables["laser"] = own
    if not isinstance(name, str) or name not in heads:
        near = get_close_matches(str(name), heads, 1)
        # The head's own missing fields would only repeat that the name is wrong.
        tables["laser"] = next(iter(heads.values()))
        names = " or ".join(f'"{key}"' for key in heads)
        repair = f'did you mean "{near[0]}"?' if near else f"write {names}, or your own values in [laser]"
        return [Fault(where, f'there is no example laser "{brief(name)}": {repair}')]
    if isinstance(own, Mapping):
        tables["laser"] = {**heads[name], **own, "use": name}
    return []


def job_text(job: Job, before: str = "") -> str:
    """The job as a TOML file that reads well and reads back as exactly the same job.

    `before` goes first, as comment lines.
    """
    lines = [f"# {line}".rstrip() for line in before.splitlines()]
    lines += table_lines(job, "")
    return "\n".join(lines).strip() + "\n"


def table_lines(table: Model, path: str) -> list[str]:
    """The plain values of a table first, then its own tables, each under its heading; `path` is its dotted name."""
    lines: list[str] = []
    tables: list[str] = []
    # The kind of a drive goes first: it says which fields may follow.
    for name, info in sorted(type(table).model_fields.items(), key=lambda field: field[0] != "kind"):
        value, key = getattr(table, name), info.alias or name
        if value is None and name == "coating":
            value = UNCOATED
        if (
            (key in ("machine", "use") and not value)
            or value is None
            or (value == () and not info.is_required())
            or value in LEFT_OUT
            or value == _ALONE
            # What is only assumed stays open in the file too.
            or (name in STEP_FIGURES and name not in table.model_fields_set)
        ):
            continue
        if isinstance(value, Model):
            tables += headed_lines(value, f"{path}.{key}" if path else key)
        else:
            remark = REMARKS.get((path.rpartition(".")[2], key))
            lines.append(f"{key} = {value_text(value, info)}" + (f"  # {remark}" if remark else ""))
    return lines + tables


def headed_lines(table: Model, path: str) -> list[str]:
    """A table under its heading; `path` is its dotted name."""
    heading = [f"# {_HEADINGS[path]}"] if path in _HEADINGS else []
    return ["", *heading, f"[{path}]", *table_lines(table, path)]


def job_schema() -> dict[str, Any]:
    """The JSON schema of a job file, as published in docs/job.schema.json."""
    schema = Job.model_json_schema(by_alias=True, mode="validation")
    tidied(schema)
    head = schema["$defs"]["LaserAndLens"]
    head["properties"]["use"] = {"type": "string", "enum": list(laser_tables()), "description": _USE}
    head["anyOf"] = [{"required": head.pop("required")}, {"required": ["use"]}, {"$comment": "use_laser names it"}]
    schema["properties"]["use_laser"] = head["properties"]["use"]
    schema["properties"]["saved"] = {"type": "object", "description": "when and under which name the job was saved"}
    schema["required"] = [name for name in schema["required"] if name not in ("laser", "artwork")]
    machine = {"required": ["machine"], "$comment": "its file may hold laser and lens"}
    schema["anyOf"] = [{"required": ["laser"]}, {"required": ["use_laser"]}, machine]
    words = {"required": ["inscription"], "$comment": "words need no artwork"}
    schema["allOf"] = [{"anyOf": [{"required": ["artwork"]}, words]}]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Job file of rotary",
        **{key: value for key, value in schema.items() if key != "title"},
    }


_USE: Final = "an example laser and lens; your own values here replace it"


def tidied(schema: dict[str, Any]) -> dict[str, Any]:
    """A schema without what a TOML file can't hold; it is changed in place."""
    _tidy(schema)
    return schema


def _tidy(node: Any) -> None:
    """Take out what TOML can't hold (null) and what a text with a unit can't be held to (bounds)."""
    if isinstance(node, list):
        for entry in node:
            _tidy(entry)
    if isinstance(node, dict):
        _without_null(node)
        textual = node.get("type") == "string"
        for key in ("gt", "ge", "lt", "le", "title", *(_NUMERIC if textual else ())):
            if not isinstance(node.get(key), dict):
                node.pop(key, None)
        if textual and not isinstance(node.get("default"), str):
            node.pop("default", None)
        for value in node.values():
            _tidy(value)


_NUMERIC: Final = ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum")


def _without_null(node: dict[str, Any]) -> None:
    choices = [choice for choice in node.get("anyOf", []) if choice != {"type": "null"}]
    if len(choices) == 1:
        node.pop("anyOf")
        node.update({key: value for key, value in choices[0].items() if key not in node})
    if "default" in node and node["default"] is None:
        node.pop("default")


LEFT_OUT: Final[tuple[object, ...]] = (Shop(), Wishes(), Program(), Order(), {})
"""Tables that are empty, so that a file need not have them."""

_ALONE: Final = Artwork.model_validate(WORDS_ALONE)

_HEADINGS: Final = {
    "item": "The item to mark.",
    "item.handle": "The handle. Angles count from the front, + to the right, seen from the lens with the rim up.",
    "item.weld_line": "The item's own weld line.",
    "turning": "Rollers or chuck.",
    "laser": "Laser and lens.",
    "artwork": "The artwork's size and place.",
    "tolerances": "What you accept, and how exactly you measured.",
    "passes": "Laser settings that you fix. rotary chooses the others.",
    "shop": "Your eyewear, and other lasers.",
    "program": "What your marking program can do, and what it calls the fields you type.",
    "order": "How many items you want. This changes the times, not the settings.",
    "inscription": "Words to mark. The command rotary inscribe sizes and writes them.",
}

REMARKS: Final = {
    ("", "machine"): "the name your machine is saved under",
    ("item", "heights_from"): "the end that heights are measured from",
    ("item", "measuring_tolerance"): "how far off your diameters can be (leave it out if you don't know)",
    ("item", "coating"): '"none" for bare metal',
    ("item", "colour"): "the coating's colour (no number depends on it)",
    ("item", "solid"): "true for bars and nuts that are not hollow",
    ("item", "runout"): "how far a dial indicator's needle on the apex moves in one turn",
    ("turning", "full_steps"): "the motor's full steps per turn",
    ("turning", "gear_ratio"): "how many times the motor turns while chuck or roller turns once",
    ("turning", "rounding"): "how the controller rounds to whole steps",
    ("turning", "controller_field"): "the number that your program asks for",
    ("turning", "typed_decimals"): "how many decimals of this number your program keeps",
    ("turning", "acceleration_rad_s2"): "how quickly the item reaches its speed, in rad/s²",
    ("turning", "settling"): "how long the item shakes after a turn",
    ("turning", "motor"): "two-phase, three-phase, closed-loop or unknown",
    ("turning", "stops_whole"): "how far off the motor stops after whole motor cycles, as a part of a full step",
    ("turning", "stops_free"): "how far off the motor stops after any other turn, as a part of a full step",
    ("turning", "skew"): "how crooked the axis lies in the field",
    ("turning", "offset"): "how far the axis lies off the field's centre line",
    ("turning", "centres"): "distance between the roller axes",
    ("turning", "axis_height"): "height of the roller or chuck axis over the bed",
    ("turning", "levelled"): "true if one end is raised until the apex is level",
    ("laser", "use"): "these figures are an example: remove this line once all of them are yours",
    ("laser", "beam_quality"): "M²",
    ("laser", "beam_diameter"): "the beam's width at the lens",
    ("laser", "field"): "the lens's field, side to side",
    ("laser", "spot"): "how wide the beam is in focus (its diameter at 1/e²), as you measured it",
    ("laser", "free_height"): "room from the focus up to the lowest part of laser and lens",
    ("laser", "pupil_doubt"): "how far off the pupil heights can be",
    ("laser", "slice_wide"): "from a seam test: 100.4 % makes each slice 0.4 % wider",
    ("laser", "slice_high"): "from a seam test: 100.4 % makes each slice 0.4 % taller",
    ("laser", "slice_turn"): "from a seam test: rotary tilts each slice by this angle, + anticlockwise",
    ("laser", "focus_above"): "from a focus test: the focus lies so far above where you set it",
    ("laser", "power_step"): "the finest step that the power can be set to",
    ("laser", "travel_speed"): "speed between marks, with the beam off",
    ("laser", "line_wait"): "delays at the start, stop and turn of a line",
    ("laser", "field_axis"): "the field axis that the item lies along",
    ("laser", "rim_towards"): "whether the rim points to the + or the - side of the field axis",
    ("artwork", "centre"): "height of the artwork's middle, from the end that heights are measured from",
    ("artwork", "centre_angle"): "angle from the item's front to the artwork's middle, + to the right (rim up)",
    ("artwork", "ink"): "share of the artwork's frame that is marked",
    ("tolerances", "seam"): "largest gap or offset at a seam",
    ("tolerances", "seams_may_show"): "true if seams may show",
    ("tolerances", "closing_gap"): "the widest gap that your marks close, from the gap ladder",
    ("tolerances", "closing_gap_u"): "how far off the closing gap can be (2 of 3 readings are closer)",
    ("tolerances", "closing_gap_at"): "the settings that you marked the gap ladder with",
    ("tolerances", "fluence_low"): "the least energy per area that you accept on a slice, in % of the planned energy",
    ("tolerances", "fluence_high"): "the most energy per area that you accept on a slice, in % of the planned energy",
    ("tolerances", "incidence"): "how far off square the beam may hit the wall",
    ("tolerances", "margin"): "white margin beside each slice of a sliced file",
    ("tolerances", "diameter"): "how far off the diameter can be (leave it out if you don't know)",
    ("tolerances", "focus"): "how far off you may set the focus",
    ("tolerances", "field_scale"): "how far off the field's scale can be",
    ("passes", "defocus"): "how far you move the lens away after you focus on the surface (- closer)",
    ("passes", "depth"): "depth that you want in bare metal",
    ("passes", "polish"): "depth that sanding or polishing takes off",
    ("program", "can_pause"): "can the program pause between a slice's passes?",
    ("program", "least_pause"): "the program's shortest pause",
    ("program", "can_change_setting"): "can the program mark a slice at two settings before the rotary turns on?",
    ("program", "can_repeat_slice"): "can the program mark a slice several times before the rotary turns to the next?",
    ("program", "can_store_start"): "can the program store a start angle in its file?",
    ("tolerances", "slice_width"): "your own slice width: leave it out and rotary chooses",
    ("inscription", "letter_height"): "largest height of a capital letter",
    ("inscription", "least_height"): "smallest height of a capital letter that you accept",
    ("inscription", "tracking"): "extra space between letters, in heights of a capital",
    ("inscription", "line_pitch"): "distance from line to line, in heights of a capital",
    ("inscription", "gap"): "gap between a ring's end and its beginning",
    ("inscription", "start"): "angle from the part's front to a ring's first word, or to the middle of other words",
    ("inscription", "from"): "the lowest height where words can go, from the end that heights are measured from",
    ("inscription", "to"): "the greatest height where words can go",
    ("inscription", "chamfer"): "length left free at each end of the item",
    ("inscription", "margin"): "margin left free on all sides",
    ("inscription", "more"): "the words on the next flats",
    ("inscription", "stroke"): "stroke width of single-stroke letters, as a share of a capital's height",
    ("inscription", "read_at"): "from how far away you must be able to read the words",
    ("inscription", "depth"): "depth that you want in bare metal",
}
