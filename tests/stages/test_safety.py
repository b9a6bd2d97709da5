"""Cautions: nothing that can hurt is left out, the worst stands first, figures are computed."""

import re

import pytest
from pydantic import ValidationError

from rotary.formulas import exposure
from rotary.item import Handle, Item, Measurement
from rotary.laser import LaserAndLens
from rotary.passes.plan.setting import Removal
from rotary.safety import CAUTIONS, Safety, safety
from rotary.sentences.cautions import WORDS, cautions
from rotary.shop import Eyewear, OtherLaser, Shop
from tests.setups import shipped_heads

HEAD = LaserAndLens(
    name="a test head",
    rated_power_w=20,
    largest_pulse_mj=0.8,
    lowest_frequency_khz=25,
    highest_frequency_khz=80,
    focal_length_mm=160,
    field_mm=110,
)
STATIONS = (Measurement(at_mm=0, across_mm=80), Measurement(at_mm=180, across_mm=80))
INFRARED = Eyewear(name="infrared pair", from_nm=900, to_nm=1100, optical_density=5)
BLUE = Eyewear(name="blue pair", from_nm=400, to_nm=500, optical_density=5)
DIODE = OtherLaser(name="blue diode", wavelength_nm=450, power_w=10)


def warned(
    head: LaserAndLens = HEAD, drive: str = "rollers", eyewear: tuple[Eyewear, ...] = (), **changed: object
) -> Safety:
    item = Item.model_validate({"name": "a test cup", "measurements": STATIONS, **changed})
    plan = Removal.model_construct(setting=None, refused=())
    return safety(head, item, plan, drive, Shop(eyewear=eyewear, other_lasers=(DIODE,)))


def said(found: Safety) -> str:
    return " ".join(caution.text for caution in cautions(found))


def test_the_head_needs_the_density_of_its_whole_power() -> None:
    """20 W into a pupil against the directive's 47.3 W/m2: 4.041, which is rounded up, never down.

    EU directive 2006/25/EC (from memory, not seen), pulses within 50 us as one: 0.05 (10 s / 50 us)^(-1/4) / 50 us.
    """
    row = warned().eyes[0]
    assert row.exposure_w_m2 == pytest.approx(519_690, abs=1)
    assert row.limit_w_m2 == pytest.approx(0.05 * 2e5**-0.25 / 50e-6)
    assert row.optical_density == 4.1
    assert row.scale_number.startswith("EN 207 at least D 7")


def test_two_lasers_need_both_bands() -> None:
    """One pair for 1064 nm leaves the blue diode uncovered, and the other way round; both cover both."""
    for pairs, covered in (((), (False, False)), ((INFRARED,), (True, False)), ((INFRARED, BLUE), (True, True))):
        found = warned(eyewear=pairs)
        assert tuple(bool(row.covered_by) for row in found.eyes[:2]) == covered
        stops = [caution for caution in found.cautions if caution.level == "stop" and caution.about == "eyes"]
        assert len(stops) == covered.count(False)


def test_a_pair_that_is_too_weak_is_not_taken() -> None:
    """The band alone is not enough: density 3 does not cover 20 W, and the verdict says what would."""
    weak = INFRARED.model_copy(update={"optical_density": 3.0})
    row = warned(eyewear=(weak,)).eyes[0]
    assert row.covered_by == ()
    assert row.verdict.startswith("Too weak")
    assert "4.1" in row.verdict


def pair(**marked: object) -> Eyewear:
    return Eyewear.model_validate({"name": "a pair", "from_nm": 900, "to_nm": 1100, **marked})


@pytest.mark.parametrize(
    ("marked", "covers", "says"),
    [
        ({"optical_density": 5}, True, "Read its EN 207 marks: you need at least D 7 and R 5."),
        ({"optical_density": 5, "marks": "D LB7 + IR LB6"}, True, "covers 1064 nm with at least OD 4.1, D 7 and R 5"),
        ({"marks": "900-1100 DIR LB7"}, True, '"a pair" covers 1064 nm'),
        ({"marks": "DIR LB6"}, False, 'Too weak for 1064 nm: "a pair" has D 6 (needs 7).'),
        ({"marks": "DIR LB6", "material": "plastic"}, True, "covers 1064 nm"),
        ({"marks": "DIR LB6", "material": "glass"}, False, "D 6 (needs 7)"),
        ({"marks": "D L8", "optical_density": 8}, False, "no R (needs 5)"),
        ({"marks": "D 7, R 4"}, False, "R 4 (needs 5)"),
        ({"optical_density": 3, "marks": "D LB7 + IR LB7"}, False, "OD 3 (needs 4.1)"),
    ],
)
def test_what_stands_on_a_pair_is_held_against_what_is_needed(
    marked: dict[str, object], covers: bool, says: str
) -> None:
    """A density alone leaves the marks to be checked, marks alone stand for the density, every letter counts."""
    found = warned(eyewear=(pair(**marked),))
    assert found.eyes[0].covered_by == (("a pair",) if covers else ())
    assert says in found.eyes[0].verdict
    levels = [caution.level for caution in cautions(found) if says in caution.text]
    assert levels == ([] if covers and "marks" in marked else ["warn"] if covers else ["stop"])


@pytest.mark.parametrize(
    ("marked", "where"), [({}, "optical_density"), ({"marks": " "}, "optical_density"), ({"marks": "LB6"}, "marks")]
)
def test_a_pair_without_marks_that_can_be_read_is_refused(marked: dict[str, object], where: str) -> None:
    """Neither a density nor marks, or marks without their letters: what is to be written is said."""
    with pytest.raises(ValidationError, match="D LB6") as refused:
        pair(**marked)
    assert [error["loc"] for error in refused.value.errors()] == [(where,)]


def test_the_worst_rate_lies_between_the_ends() -> None:
    """At average power over largest pulse, here 10 kHz, pulses count most: neither end of the range asks for as much.

    R by N^(1/4) (EN 207, from memory, not seen); at 355 nm no pulses count as one.
    """
    source = {"wavelength_nm": 355.0, "rated_power_w": 4.0, "largest_pulse_mj": 0.4}

    def asked(low: float, high: float) -> int:
        head = HEAD.model_copy(update={**source, "lowest_frequency_khz": low, "highest_frequency_khz": high})
        return int(warned(head).eyes[0].scale_number.partition("R ")[2])

    assert asked(0.1, 4000.0) == asked(10.0, 10.0)
    assert max(asked(0.1, 0.1), asked(4000.0, 4000.0)) < asked(10.0, 10.0)


@pytest.mark.parametrize("name", ["fibre-30w-160", "fibre-60w-254"])
def test_the_shipped_heads_need_the_higher_numbers(name: str) -> None:
    """DGUV Information 203-042 (seen): D 7 for glass over 7 mm, and R 6 where pulses within T_i count as one."""
    assert warned(shipped_heads()[name]).eyes[0].scale_number.startswith("EN 207 at least D 7 and R 6")


def test_a_steady_laser_is_looked_into_for_ten_seconds() -> None:
    """ICNIRP 2013: 10 W/m2 at 450 nm, not the 25.5 of a blink; only the class 2 pointer has that, and says so."""
    _, blue, red = warned().eyes
    assert blue.limit_w_m2 == pytest.approx(10.0)
    assert blue.optical_density == 4.5
    assert blue.scale_number == "EN 207 at least D 6"
    assert red.limit_w_m2 == pytest.approx(25.456, abs=1e-3)
    assert "glance does no harm (you blink within 0.25 s)" in red.verdict
    for watts in (0.002, 0.005):
        strong = Shop(other_lasers=(OtherLaser(name="pointer", wavelength_nm=635, power_w=watts),))
        item, plan = Item(name="cup", measurements=STATIONS), Removal.model_construct(setting=None, refused=())
        assert safety(HEAD, item, plan, "chuck", strong).eyes[1].limit_w_m2 == pytest.approx(10.0)


@pytest.mark.parametrize("nm", [355.0, 450.0, 532.0, 650.0, 808.0, 940.0, 1064.0, 1550.0, 1940.0, 10_600.0])
@pytest.mark.parametrize("ns", [0.001, 0.05, 5.0, 200.0, 5000.0])
@pytest.mark.parametrize("watts", [1.0, 30.0, 200.0])
def test_no_laser_is_without_figures_and_none_are_lower_than_at_its_ends(nm: float, ns: float, watts: float) -> None:
    """Every wavelength, pulse and power: a density, D and the pulse's letter; never less than either end asks for."""
    source = {"wavelength_nm": nm, "pulse_widths_ns": (ns,), "rated_power_w": watts, "largest_pulse_mj": watts / 50}
    head = HEAD.model_copy(update={**source, "lowest_frequency_khz": 20.0, "highest_frequency_khz": 600.0})
    row = warned(head).eyes[0]
    letter = "M" if ns < 1 else "R" if ns <= 1000 else "I"
    asked = dict(re.findall(r"([DRIM]) (\d+)", row.scale_number.partition(",")[0]))
    assert set(asked) == {"D", letter}
    assert 0 < row.optical_density < 12
    assert row.optical_density >= exposure.optical_density(row.exposure_w_m2, row.limit_w_m2)
    for rate in (20.0, 600.0):
        end = warned(head.model_copy(update={"lowest_frequency_khz": rate, "highest_frequency_khz": rate})).eyes[0]
        assert end.optical_density <= row.optical_density
        ends = dict(re.findall(r"([DRIM]) (\d+)", end.scale_number.partition(",")[0]))
        assert all(int(ends[name]) <= int(asked[name]) for name in asked)


def test_the_red_pointer_is_a_laser_too() -> None:
    """The pointer that every head has gets its row even where the shop lists none, once where it does."""
    assert [row.wavelength_nm for row in warned().eyes] == [1064.0, 450.0, 650.0]
    item = Item(name="cup", measurements=STATIONS)
    listed = Shop(other_lasers=(OtherLaser(name="pointer", wavelength_nm=635, power_w=0.001),))
    rows = safety(HEAD, item, Removal.model_construct(setting=None, refused=()), "chuck", listed).eyes
    assert [row.wavelength_nm for row in rows] == [1064.0, 635.0]


def test_the_lasers_that_eyewear_is_for_are_told_and_a_pointer_is_none_of_them() -> None:
    """Its density is told, but nobody puts on a pair for a pointer of class 2: two lasers in the room, not three."""
    found = warned()
    assert found.eyes[2].optical_density > 0
    several = next(one for one in found.cautions if one.id == "eyes_several_lasers")
    assert several.values == {"wavelengths": "450 nm, 1064 nm"}


def test_strong_pulses_count_more_than_their_mean() -> None:
    """A slow source with large pulses needs more density than its average power alone would ask."""
    slow = {"lowest_frequency_khz": 0.1, "highest_frequency_khz": 0.2, "largest_pulse_mj": 50.0, "rated_power_w": 5.0}
    head = HEAD.model_copy(update=slow)
    mean = exposure.optical_density(exposure.into_aperture(5.0, 7.0), 50.0)
    assert warned(head).eyes[0].optical_density > mean + 0.3


@pytest.mark.parametrize("nm", [355.0, 532.0, 1550.0, 10_600.0])
def test_other_wavelengths_get_their_own_limits(nm: float) -> None:
    """Ultraviolet, green, beyond the retina's band and far infrared: a finite density, no crash."""
    row = warned(HEAD.model_copy(update={"wavelength_nm": nm})).eyes[0]
    assert 1 < row.optical_density < 12


def test_the_worst_stands_first() -> None:
    """Stop before warn before note, whatever the job."""
    order = {"stop": 0, "warn": 1, "note": 2}
    levels = [order[caution.level] for caution in warned().cautions]
    assert levels == sorted(levels)
    assert levels[0] == 0


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (
            {},
            (
                "Take the lid off",
                "vacuum jacket rattles",
                "Laser off before you open",
                "chromium(VI)",
                "never vinyl",
                "HEPA",
                "slowly by motor",
            ),
        ),
        ({"metal": "aluminium-6061"}, ("aluminium dust", "Never use water")),
        ({"metal": "titanium-grade-5"}, ("titanium dust", "class D")),
        ({"metal": "brass-c26000", "coating": None, "solid": True}, ("zinc", "lead")),
        ({"coating": "fluoropolymer-nonstick"}, ("Do not mark", "hydrogen fluoride")),
        ({"coating": "vinyl"}, ("Do not mark", "hydrogen chloride")),
    ],
)
def test_each_job_gets_the_cautions_that_belong_to_it(changed: dict[str, object], words: tuple[str, ...]) -> None:
    """Metal, coating and shape each bring their own cautions."""
    text = said(warned(**changed))
    for word in words:
        assert word in text


def test_cautions_of_other_jobs_are_left_out() -> None:
    """A solid brass nut has no lid, no jacket, no chromium and no powder coat."""
    text = said(warned(metal="brass-c26000", coating=None, solid=True))
    for word in ("Lid", "jacket", "chromium", "powder coat", "aluminium"):
        assert word not in text


def test_every_caution_has_its_words_and_no_words_are_without_a_caution() -> None:
    """What stops the job has no short form; each other one says the same in no more words than it does in whole."""
    assert WORDS.keys() == CAUTIONS.keys()
    assert not [name for name, (_, short) in WORDS.items() if short and CAUTIONS[name][0] == "stop"]
    assert not [name for name, (says, short) in WORDS.items() if len(short) > len(says) and name != "eyes_unmarked"]


def test_a_handle_comes_round() -> None:
    """A handle is named with its reach; without one nothing is said of it."""
    handle = Handle(angle_rad=3.14, width_rad=0.5, reach_mm=35, from_mm=20, to_mm=90)
    assert "35 mm" in said(warned(handle=handle))
    assert "handle" not in said(warned()).lower()


def test_local_rules_and_the_safety_officer_decide() -> None:
    """Every card defers to local rules, to the laser safety officer and to the marking on the eyewear."""
    text = said(warned())
    assert "local rules" in text
    assert "laser safety officer" in text
    assert "marks on the eyewear decide" in text


def test_the_drive_has_its_own_caution() -> None:
    """Rollers let an item walk, jaws mark thin walls."""
    assert "wander" in said(warned(drive="rollers"))
    assert "jaws" in said(warned(drive="chuck"))


def test_rows_name_their_source() -> None:
    """Head and other lasers stand under the names that the person gave them."""
    names = [row.source for row in warned().eyes]
    assert names[0].startswith("a test head")
    assert names[1].startswith("blue diode")
