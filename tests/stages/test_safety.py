"""Cautions: nothing that can hurt is left out, the worst stands first, figures are computed."""

import pytest

from rotary.formulas import exposure
from rotary.head import Head
from rotary.item import Handle, Item, Station
from rotary.passes.removal import Removal
from rotary.safety import Safety, safety
from rotary.shop import Eyewear, OtherLaser, Shop

HEAD = Head(
    name="a test head",
    rated_power_w=20,
    largest_pulse_mj=0.8,
    lowest_rate_khz=25,
    highest_rate_khz=80,
    focal_length_mm=160,
    field_mm=110,
)
STATIONS = (Station(at_mm=0, across_mm=80), Station(at_mm=180, across_mm=80))
INFRARED = Eyewear(name="infrared pair", from_nm=900, to_nm=1100, optical_density=5)
BLUE = Eyewear(name="blue pair", from_nm=400, to_nm=500, optical_density=5)
DIODE = OtherLaser(name="blue diode", wavelength_nm=450, power_w=10)


def warned(head: Head = HEAD, drive: str = "rollers", eyewear: tuple[Eyewear, ...] = (), **changed: object) -> Safety:
    item = Item.model_validate({"name": "a test cup", "stations": STATIONS, **changed})
    plan = Removal.model_construct(setting=None, refused=())
    return safety(head, item, plan, drive, Shop(eyewear=eyewear, other_lasers=(DIODE,)))


def said(found: Safety) -> str:
    return " ".join(caution.says for caution in found.cautions)


def test_the_head_needs_the_density_of_its_whole_power() -> None:
    """20 W into a pupil against 50 W/m2: 4.017, which is rounded up, never down."""
    row = warned().eyes[0]
    assert row.exposure_w_m2 == pytest.approx(519_690, abs=1)
    assert row.limit_w_m2 == pytest.approx(50.0)
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


def test_the_red_pointer_is_a_laser_too() -> None:
    """The pointer that every head has gets its row even where the shop lists none, once where it does."""
    assert [row.wavelength_nm for row in warned().eyes] == [1064.0, 450.0, 650.0]
    item = Item(name="cup", stations=STATIONS)
    listed = Shop(other_lasers=(OtherLaser(name="pointer", wavelength_nm=635, power_w=0.001),))
    rows = safety(HEAD, item, Removal.model_construct(setting=None, refused=()), "chuck", listed).eyes
    assert [row.wavelength_nm for row in rows] == [1064.0, 635.0]


def test_strong_pulses_count_more_than_their_mean() -> None:
    """A slow source with large pulses needs more density than its average power alone would ask."""
    slow = {"lowest_rate_khz": 0.1, "highest_rate_khz": 0.2, "largest_pulse_mj": 50.0, "rated_power_w": 5.0}
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
        ({}, ("Lid off", "holds no pressure", "enclosure", "chromium(VI)", "vinyl never", "HEPA", "slow turn")),
        ({"metal": "aluminium-6061"}, ("aluminium dust", "no water")),
        ({"metal": "titanium-grade-5"}, ("titanium dust", "class D")),
        ({"metal": "brass-c26000", "coating": None, "solid": True}, ("zinc", "lead")),
        ({"coating": "fluoropolymer-nonstick"}, ("Not to be marked", "hydrogen fluoride")),
        ({"coating": "vinyl"}, ("Not to be marked", "hydrogen chloride")),
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


def test_a_handle_comes_round() -> None:
    """A handle is named with its reach; without one nothing is said of it."""
    handle = Handle(angle_rad=3.14, width_rad=0.5, reach_mm=35, from_mm=20, to_mm=90)
    assert "35 mm" in said(warned(handle=handle))
    assert "handle" not in said(warned()).lower()


def test_local_rules_and_the_safety_officer_decide() -> None:
    """Every card defers to local rules, to the laser safety officer and to the marking on the eyewear."""
    text = said(warned())
    assert "Local rules" in text
    assert "laser safety officer" in text
    assert "own marking decide" in text


def test_the_drive_has_its_own_caution() -> None:
    """Rollers let an item walk, jaws mark thin walls."""
    assert "walk" in said(warned(drive="rollers"))
    assert "jaws" in said(warned(drive="chuck"))


def test_rows_name_their_source() -> None:
    """Head and other lasers stand under the names that the person gave them."""
    names = [row.source for row in warned().eyes]
    assert names[0].startswith("a test head")
    assert names[1].startswith("blue diode")
