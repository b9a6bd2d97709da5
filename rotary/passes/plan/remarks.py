"""What has to be known of the passes, by id: why there are none, what would make them surer, what they do."""

from typing import Final

from rotary.item import Item
from rotary.model import Values
from rotary.passes.beliefs.belief import quantile
from rotary.passes.beliefs.draws import Coating, Draws, Metal
from rotary.passes.plan.grid import Light
from rotary.passes.plan.heat import Round
from rotary.passes.plan.pauses import hot_limit_c
from rotary.passes.plan.setting import HotWall, PassRemark, Setting
from rotary.wishes import Wishes

# Below this the metal stands too little over what lifts the coating: both are uncertain by a factor of two or three.
_NEAR: Final = 3.0


def why_no_window(
    metal: Metal, coating: Coating, draws: Draws, pulses: float, hot: HotWall | None
) -> tuple[PassRemark, ...]:
    """Why no setting has a fair chance; `hot` where the wall gets too hot for any."""
    found = []
    stands = metal.threshold_j_cm2.central * pulses ** (metal.incubation.central - 1)
    starts = coating.lift_off_j_cm2.central if coating.lift_off_share > 0.5 else coating.threshold_j_cm2.central
    if stands < _NEAR * starts:
        values: Values = {"starts_j_cm2": starts, "stands_j_cm2": stands, "pulses": pulses}
        found.append(PassRemark(id="too_near", values=values))
    if hot is not None:
        found.append(PassRemark(id=hot, values={"wall_mm": float(draws.wall_mm.mean())}))
    return tuple(found) or (PassRemark(id="too_little_known"),)


def would_change(item: Item, spot_measured: bool, wishes: Wishes) -> tuple[PassRemark, ...]:
    """What would make the plan surer, the cheapest first; what else would change it is planned again when asked for."""
    return (
        *([PassRemark(id="let_go", values={"held": wishes.control_words})] if wishes.controls else []),
        PassRemark(id="test_patch"),
        *([PassRemark(id="gauge_coating")] if item.coating_thickness_um is None else []),
        *([] if spot_measured else [PassRemark(id="measure_spot")]),
        PassRemark(id="what_helps"),
        PassRemark(id="other_process"),
    )


def of_coating(setting: Setting, coating: Coating, metal: Metal, light: Light, draws: Draws) -> tuple[PassRemark, ...]:
    """What else the person should know about these passes."""
    found = [
        PassRemark(id="worst_places", values={"low_share": float(light.low[0]), "high_share": float(light.high[0])}),
        PassRemark(id="stays_below", values={"limit_c": quantile(hot_limit_c(draws), draws.weight, 0.05)}),
        *([PassRemark(id="bleached")] if coating.bleached else []),
        PassRemark(id="beliefs", values={"coating": coating.says, "metal": metal.says}),
    ]
    return (*([PassRemark(id="defocused")] if setting.defocus_mm else []), *found)


def of_cut(beat: Round, draws: Draws, deepest_um: float, wishes: Wishes) -> tuple[PassRemark, ...]:
    """What has to be known of passes into bare metal."""
    wall_um = 1e3 * quantile(draws.wall_mm, draws.weight, 0.05)
    found = [PassRemark(id="depth_is_linear")]
    if wishes.depth_um is not None and wishes.polish_um:
        found.append(PassRemark(id="polished", values={"polish_um": wishes.polish_um}))
    if beat.thin and deepest_um > wall_um / 10:
        found.append(PassRemark(id="thin_wall", values={"deepest_um": deepest_um, "wall_um": wall_um}))
    return tuple(found)
