"""A person's own file of beliefs: it changes and adds; faults are a sentence each; what is refused stays so."""

from pathlib import Path

import pytest

from rotary.errors import FileTrouble, Refused
from rotary.job import job_from_file
from rotary.laser import optics
from rotary.passes.beliefs.draws import Coating, coating_named, coatings, drawn, machine, metals
from rotary.passes.learning.depth import prior
from rotary.passes.plan.cuts import cutting_setting
from rotary.plan import plan
from rotary.shipped import examples, reference
from rotary.wishes import FREE

JOB = job_from_file(examples()["boathouse-mug"])


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROTARY_BELIEFS", str(tmp_path))
    return tmp_path


def test_without_an_own_file_the_shipped_tables_stand(own: Path) -> None:
    """An empty folder changes nothing."""
    assert not list(own.iterdir())
    assert "polyester-powder-dark" in coatings()
    assert metals()["stainless-304"].threshold_j_cm2.central == 2.5


def test_one_belief_of_a_shipped_coating_is_changed_and_the_plan_follows(own: Path) -> None:
    """Only what is named changes; the next plan goes by it, and once the file has gone by the shipped again."""
    name = JOB.item.coating or ""
    before = plan(JOB, 200)
    file = own / "coatings.toml"
    file.write_text(
        f'[{name}]\nlift_off_j_cm2 = {{ low = 0.1, central = 0.15, high = 0.2, source = "our own gauge" }}\n'
    )
    changed, shipped = coatings()[name], reference("coatings.toml")
    assert isinstance(changed, Coating)
    assert changed.lift_off_j_cm2.source == "our own gauge"
    assert changed.depth_um.source in shipped
    assert plan(JOB, 200).choice != before.choice
    file.unlink()
    assert plan(JOB, 200).choice == before.choice


def test_a_coating_and_a_metal_of_ones_own_are_known_by_their_names(own: Path) -> None:
    """A whole table under a new name is a coating like any other, batches and all; a metal too."""
    dark = reference("coatings.toml").partition("[polyester-powder-dark]")[2].partition("\n[")[0]
    (own / "coatings.toml").write_text(f"[regatta-enamel]\n{dark}\n", encoding="utf-8")
    steel = reference("metals.toml").partition("[mild-steel]")[2].partition("\n[")[0]
    (own / "metals.toml").write_text(f"[hull-plate]\n{steel}\n", encoding="utf-8")
    assert isinstance(coating_named("regatta-enamel: may"), Coating)
    item = JOB.item.model_copy(update={"coating": "regatta-enamel", "metal": "hull-plate"})
    assert plan(JOB.model_copy(update={"item": item}), 100).removal.setting


def test_the_machines_own_spread_is_a_belief_too(own: Path) -> None:
    """A power meter that was calibrated narrows the power of every draw; without the file it is as wide as before."""
    metal, coating = metals()["stainless-304"], coatings()["polyester-powder-dark"]
    assert isinstance(coating, Coating)
    wide = drawn(metal, coating, None, None, False, 500).power_factor
    file = own / "machine.toml"
    file.write_text('[machine]\npower = { low = 0.97, central = 0.98, high = 0.99, source = "our own meter" }\n')
    narrow = drawn(metal, coating, None, None, False, 500).power_factor
    assert narrow.std() < 0.2 * wide.std()
    file.unlink()
    assert (drawn(metal, coating, None, None, False, 500).power_factor == wide).all()


def test_depth_in_bare_metal_goes_by_the_own_power_too(own: Path) -> None:
    """Half the power that arrives takes off half as much: the belief in depth and the passes planned for one follow."""
    brass, head, free = metals()["brass-c26000"], JOB.laser, FREE.model_copy(update={"depth_um": 30.0})
    before, count = prior(brass).at(0.5), cutting_setting(head, optics(head), brass, free).passes
    half = 0.5 * machine().power.central
    three = f"low = {half - 0.01}, central = {half}, high = {half + 0.01}"
    (own / "machine.toml").write_text(f'[machine]\npower = {{ {three}, source = "our own meter" }}\n')
    assert prior(brass).at(0.5) == pytest.approx(before / 2, rel=1e-6)
    assert cutting_setting(head, optics(head), brass, free).passes == pytest.approx(2 * count, abs=1)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[vinyl]\nsays = "harmless"\n', "is refused"),
        ('["a: b"]\n', "without a colon"),
        ("[my-enamel]\nlift_off_share = 0.5\n", "my-enamel"),
        ('[polyester-powder-dark]\nthickness_um = { low = 9, central = 3, high = 4, source = "x" }\n', "thickness_um"),
        ("[polyester-powder-dark]\nlift_off_share = 7\n", "lift_off_share"),
        ("low = 3\n", "stands above all tables"),
    ],
)
def test_what_is_wrong_in_an_own_file_is_one_sentence_with_its_place(own: Path, text: str, says: str) -> None:
    """Nothing is planned by half a table; the sentence names the table or the field."""
    (own / "coatings.toml").write_text(text)
    with pytest.raises(Refused) as caught:
        plan(JOB, 50)
    assert says in str(caught.value) + "".join(fault.where for fault in caught.value.faults)


def test_a_file_that_is_no_toml_is_told(own: Path) -> None:
    """A slip of the hand is a sentence, not a traceback."""
    (own / "coatings.toml").write_bytes(b"\xff\xfe[")
    with pytest.raises(FileTrouble):
        plan(JOB, 50)
    (own / "coatings.toml").write_text("[polyester")
    with pytest.raises(FileTrouble, match=r"the last line of .* can't be read: the bracket ] is missing"):
        plan(JOB, 50)
