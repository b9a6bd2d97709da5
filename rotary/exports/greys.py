"""A photograph on the item: through the surface map and the slices, as dots at the hatch spacing."""

import math
from pathlib import Path
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from rotary.actions.files import counts_back
from rotary.artwork.models import PieceSize
from rotary.artwork.outfiles import file_stem
from rotary.artwork.raster_read import Picture, Progress, picture_from_file, quiet
from rotary.artwork.sets import write_set
from rotary.errors import no_plan, refuse
from rotary.examples import BANNER
from rotary.exports import dots
from rotary.exports.dots import Column, DotRows, Raster, borders, cells_of, dots_of, marked_cells
from rotary.exports.models import RasterSheet, RasterWish
from rotary.exports.png import in_field, png_bytes
from rotary.exports.trial import Dots, TrialPages, fuller, slice_of_columns
from rotary.formulas.beam import spot_under_defocus_um
from rotary.formulas.maps import MAPS
from rotary.plan import Plan
from rotary.sheet import SheetWish, order_of, stance_of, under_stem
from rotary.sheet.compose import LEAST_BLANK_MM, too_narrow
from rotary.sheet.correction import drawn_places
from rotary.sheet.keys import PART, keys_text
from rotary.sheet.order import SheetOrder, SheetZone
from rotary.sheet.pages import heights_of, zone_keys
from rotary.sheet.redraw import Stance, command_to_hit_mm
from rotary.slices.models import Split
from rotary.slices.trial import SLICED

READING: Final = 0.5
"""The share of the work that reading the file is, of a photograph of a hundred million dots."""

MOST_DOTS: Final = 400_000_000
MOST_CELLS: Final = 40_000_000  # dithering holds all of them at once, a few bytes each


def raster_sheet(
    made: Plan,
    picture: Path,
    folder: Path,
    wish: RasterWish | None = None,
    progress: Progress = quiet,
    over: bool = False,
) -> tuple[RasterSheet, tuple[Path, ...]]:
    """Lay a picture on the plan's item and write it into `folder` as PNG files; the sheet and the paths.

    They are named after the picture, or bear the `stem` that the person gave.

    The picture is fitted into the artwork's width and height. `progress` is called with the share that is
    done; it stops the work by raising an error of its own. Raises Refused or FileTrouble; then nothing is written.
    """
    asked = wish or RasterWish()
    mark = _mark(made, asked)
    own = file_stem(picture.stem)
    taken = picture_from_file(picture, lambda share: progress(READING * share))
    drawn, pages = _Work(made, taken, asked, mark, own).done(lambda share: progress(READING + (1 - READING) * share))
    if asked.stem:
        names = under_stem(pages, own, asked.stem)
        drawn = drawn.but(
            files=tuple(names[name] for name in drawn.files), trial=drawn.trial and drawn.trial.renamed(names)
        )
        pages = {names[name]: page for name, page in pages.items()}
    wrote = write_set(folder, asked.stem or own, pages, (picture,), over, made.job.item.name)
    notes = (*drawn.notes, wrote.instead) if wrote.instead else drawn.notes
    return drawn.but(notes=notes), wrote.paths


def _mark(made: Plan, wish: RasterWish) -> Literal["lighter", "darker"]:
    """Whether what is marked comes out lighter; asked where the coating's name does not say."""
    if wish.mark is not None:
        return wish.mark
    coating = made.job.item.coating or ""
    if coating.endswith(("-dark", "-light")):
        return "lighter" if coating.endswith("-dark") else "darker"
    raise refuse(
        "mark",
        "are your marks lighter or darker than the item? Look at a place that you marked, and add --mark lighter "
        "or --mark darker",
    )


class _Column(NamedTuple):
    """One part of a page: its own middle on the page [mm], and how its commands go back to the artwork."""

    middle_mm: float
    on_top_rad: float


class _Work:
    """What a picture is laid out by; gathered once, drawn page by page."""

    def __init__(
        self, made: Plan, picture: Picture, wish: RasterWish, mark: Literal["lighter", "darker"], stem: str
    ) -> None:
        self.made, self.wish, self.picture, self.mark, self.stem = made, wish, picture, mark, stem
        self.shape = made.shape
        self.split: Split = made.split
        self.stance: Stance = stance_of(made)
        self.per_metre = round(1000 / (wish.line_mm or made.line_spacing_mm))
        pitch = 1000 / self.per_metre
        spot = wish.marked_width_mm
        if spot is None:
            plane = self.stance.plane_mm
            spot = float(spot_under_defocus_um(made.optics.spot_um, made.optics.rayleigh_mm, plane)) / 1000
        self.spot_mm = spot
        per_cell = 1 if wish.tone == "greys" else max(1, math.ceil(spot / pitch - 1e-6))
        art = made.job.artwork
        high, wide = picture.tones.shape
        per_mm = max(wide / art.width_mm, high / art.height_mm)
        self.laid = DotRows(picture.tones, per_mm, wide / per_mm, high / per_mm, mark == "lighter")
        self.method: Literal["sliced", "flat", "facets"] = (
            "facets" if self.shape.flats else "sliced" if self.split.method == "sliced" else "flat"
        )
        self.order = self._order() if self.method == "sliced" else None
        half_wide, half_high = self._reach()
        rows = math.ceil(2 * max(half_high, (self.order.height_mm / 2) if self.order else 0.0) / pitch)
        self.raster = Raster(pitch, per_cell, rows)
        self.half_wide_mm = half_wide
        count = rows * self._page_mm() / pitch
        if count > MOST_DOTS or (wish.tone == "dots" and count > MOST_CELLS * per_cell**2):
            raise refuse(
                "line",
                f"with a line every {pitch:g} mm this file would have {count / 1e6:.0f} million dots: write a wider "
                "line spacing, like 0.05 mm",
            )

    def _order(self) -> SheetOrder:
        wish = SheetWish(marked_width_mm=self.wish.marked_width_mm, overlap_mm=self.wish.overlap_mm)
        return order_of(wish, self.made, 1000 / self.per_metre)

    def _band(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Heights and angles from its middle of the picture's own frame on the wall."""
        t = np.linspace(-1, 1, 401)
        one = np.ones_like(t)
        u = self.laid.wide_mm / 2 * np.concatenate([t, t, one, -one, 0 * t])
        v = self.laid.high_mm / 2 * np.concatenate([one, -one, t, t, t])
        place, _ = MAPS[self.made.job.artwork.surface_map]
        try:
            found = place(self.shape.curve, self.made.layout.centre_mm, u, v)
        except ValueError as trouble:
            raise no_plan(
                "artwork.surface_map",
                f'{trouble}: choose another setting under "on a taper", or make the picture smaller.',
            ) from None
        return found.s_mm, found.angle_rad

    def _reach(self) -> tuple[float, float]:
        """The largest command across a page and along it [mm]; raises NoPlan where a column is too narrow."""
        if self.method == "facets":
            return self.laid.wide_mm / 2, self.laid.high_mm / 2
        s, angle = self._band()
        self.low_s, self.high_s = float(s.min()), float(s.max())
        if self.order is None:
            heights = np.linspace(self.low_s, self.high_s, 201)
            _, along = command_to_hit_mm(self.stance, 0 * heights, heights)
            scale = self.split.flat_slice_mm / self.split.index_angle_rad
            return float(np.abs(angle).max()) * scale, float(np.abs(along).max()) * self.made.job.laser.slice_high_share
        order, wide, high = self.order, 0.0, 0.0
        for zone in order.zones or (None,):
            low, high_s = self._heights(zone)
            if low >= high_s:
                continue
            own = np.linspace(low, high_s, 201)
            for part in (-0.5, 0.0, 0.5):
                hit = command_to_hit_mm(self._stance(zone), part * order.index_rad + 0 * own, own)
                across, along = drawn_places(self.made.job.laser, *hit)
                wide, high = max(wide, float(np.abs(across).max())), max(high, float(np.abs(along).max()))
        inset = max(order.inset_mm, 0.0)
        if 2 * (wide - 0.9 * inset) > order.file_slice_mm - LEAST_BLANK_MM:
            raise too_narrow(wide, order.file_slice_mm)
        return wide, high

    def _heights(self, zone: SheetZone | None) -> tuple[float, float]:
        """From and to in s of the picture, or of its part in a zone."""
        if zone is None:
            return self.low_s, self.high_s
        return max(self.low_s, zone.from_mm), min(self.high_s, zone.to_mm)

    def _stance(self, zone: SheetZone | None) -> Stance:
        return self.stance if zone is None else self.stance._replace(plane_mm=zone.plane_mm)

    def _page_mm(self) -> float:
        if self.order is not None:
            columns = self.order.slices if self.wish.arrangement == "one-sheet" else 1
            return columns * self.order.file_slice_mm
        if self.method == "flat":
            return max(self.split.slices * self.split.file_slice_mm, 2 * self.half_wide_mm)
        return 2 * self.half_wide_mm

    def _columns(self) -> list[_Column]:
        """Middles of the columns on one sheet, and the angle from the artwork's middle that is on top in each."""
        order = self.order
        if order is None:
            return []
        turn = order.turn_slices if order.closed else order.slices
        first = -turn * order.index_rad / 2
        middle = (order.slices - 1) / 2
        return [_Column((k - middle) * order.file_slice_mm, first + (k + 0.5) * order.index_rad) for k in range(turn)]

    def done(self, progress: Progress) -> tuple[RasterSheet, dict[str, bytes]]:
        name = self.stem
        files: dict[str, bytes] = {}
        marked = 0.0
        zones = (self.order.zones if self.order else ()) or (None,)
        size = (0, 0)
        tried: TrialPages | None = None
        for place, zone in enumerate(zones):
            if self.order is not None and self._heights(zone)[0] >= self._heights(zone)[1]:
                continue
            label = f"{name}-zone-{place + 1}" if len(zones) > 1 else name

            def on(share: float, place: int = place) -> None:
                progress((place + share) / len(zones))

            pages = {f"{label}-{suffix}.png": (suffix, page) for suffix, page in self._pages(zone, on)}
            for to, (suffix, page) in pages.items():
                marked += float(page.sum(dtype=np.int64)) / 255
                if not suffix.startswith("slice-") or page.any():
                    files[to], size = self._png(page, zone, suffix), page.shape
            here = self._trial_pages(zone, list(pages), [page for _, page in pages.values()])
            tried = fuller(tried, here) if here else tried
        area = marked * self.raster.pitch_mm**2
        share = area / (self.laid.wide_mm * self.laid.high_mm)
        self._refuse_plain_areas(marked, share)
        trial = tried.files if tried else None
        if tried and trial:
            for to, (holds, page) in tried.parts().items():
                files[to] = self._png(page, tried.zone, "", holds)
        return self._told(area, share, size, tuple(files)).but(trial=trial), files

    def _png(self, page: Dots, zone: SheetZone | None, suffix: str, holds: str = "") -> bytes:
        laser = self.made.job.laser
        turned = in_field(page, laser.field_axis, laser.rim_towards)
        return png_bytes(turned, self.per_metre, self.wish.tone == "greys", self._about(zone, suffix, holds))

    def _trial_pages(self, zone: SheetZone | None, names: list[str], pages: list[Dots]) -> TrialPages | None:
        """Pages that a coating may be tried with; None on bare metal, and where there is one slice."""
        count = self.order.slices if self.order else self.split.slices if self.method == "flat" else 1
        if count < 2 or not self.made.is_tried:
            return None
        middles = [(k - (count - 1) / 2) * self.split.file_slice_mm for k in range(count)]
        slice_of = slice_of_columns(self._dots_across(), middles, self.split.file_slice_mm)
        inks = [float(page.sum(dtype=np.int64)) for page in pages]
        if len(pages) == 1:
            inks = np.bincount(slice_of, pages[0].sum(axis=0, dtype=np.int64), count).tolist()
        return TrialPages(names, inks, zone, pages[0], slice_of, counts_back(self.made))

    def _refuse_plain_areas(self, marked: float, share: float) -> None:
        other = "darker" if self.mark == "lighter" else "lighter"
        if marked == 0:
            raise refuse(
                "artwork.file",
                f"nothing in this picture would be marked: choose a picture with greys, or write --mark {other}",
            )
        low = self.picture.tones.min() if self.laid.lighter else self.picture.tones.max()
        if share > 0.5 and low == (65_535 if self.laid.lighter else 0):
            raise refuse(
                "artwork.file",
                "all of this picture would be marked, as one plain area: choose another picture, or write --mark "
                f"{other}",
            )

    def _pages(self, zone: SheetZone | None, progress: Progress) -> list[tuple[str, NDArray[np.uint8]]]:
        """Suffixes and pages, as the item lies with its rim up."""
        if self.order is None:
            return [("flat", self._flat_page(progress))]
        order, stance = self.order, self._stance(zone)
        low, high = self.low_s - 1, self.high_s + 1
        if zone is not None:
            ends = min(z.from_mm for z in order.zones), max(z.to_mm for z in order.zones)
            low = max(low, zone.from_mm + (order.inset_mm if zone.from_mm > ends[0] else 0.0))
            high = min(high, zone.to_mm - (order.inset_mm if zone.to_mm < ends[1] else 0.0))
        laser = self.made.job.laser
        open_ = borders(stance, low, high, order.index_rad, order.inset_mm, laser)
        one_sheet = self.wish.arrangement == "one-sheet"
        x = self._dots_across()
        columns = []
        for on_page in self._columns():
            back = dots.way_back(stance, order.surface_map, on_page.on_top_rad, order.closed, laser)
            mine = np.abs(x - on_page.middle_mm) < order.file_slice_mm / 2
            columns.append(Column(x[mine] - on_page.middle_mm if one_sheet else x, back, open_))
        pages = self._drawn(columns, progress)
        if one_sheet:
            sheet = np.zeros((self.raster.rows, len(x)), np.uint8)
            for on_page, page in zip(self._columns(), pages, strict=True):
                sheet[:, np.abs(x - on_page.middle_mm) < order.file_slice_mm / 2] = page
            return [(SLICED[1:], sheet)]
        return [(f"slice-{k + 1:0{len(str(order.slices))}d}-of-{order.slices}", page) for k, page in enumerate(pages)]

    def _drawn(self, columns: list[Column], progress: Progress) -> list[NDArray[np.uint8]]:
        """The dots of columns that meet on the item."""
        cells = []
        for k, column in enumerate(columns):
            cells.append(cells_of(self.laid, self.raster, column))
            progress(0.9 * (k + 1) / len(columns))
        marked = marked_cells(cells, self.wish.tone == "greys")
        return [dots_of(part, self.raster, column) for part, column in zip(marked, columns, strict=True)]

    def _dots_across(self) -> NDArray[np.float64]:
        """Middles of a page's dots from its own middle [mm]: never more than the page, so that no column is added."""
        pitch = self.raster.pitch_mm
        wide = max(1, math.floor(self._page_mm() / pitch + 1e-9))
        return np.asarray((np.arange(wide) - (wide - 1) / 2) * pitch, float)

    def _flat_page(self, progress: Progress) -> NDArray[np.uint8]:
        """One page that the program divides, or for a flat, where nothing is bent."""

        def open_(y: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
            return np.full(len(y), -math.inf), np.full(len(y), math.inf)

        if self.method == "facets":
            return self._drawn([Column(self._dots_across(), lambda u, v: (u, v), open_)], progress)[0]
        scale = self.split.flat_slice_mm / self.split.index_angle_rad
        high = self.made.job.laser.slice_high_share
        back = dots.plain_way_back(self.stance, self.made.job.artwork.surface_map, scale, high)
        return self._drawn([Column(self._dots_across(), back, open_)], progress)[0]

    def _typed_warnings(self) -> tuple[str, ...]:
        """As of other files, but of slices that are files of their own nothing is typed."""
        banner = (BANNER,) if self.made.job.laser.use else ()
        return (*banner, *(self.split.unreal() if self.wish.arrangement == "one-sheet" else ()))

    def _about(self, zone: SheetZone | None, suffix: str, holds: str) -> str:
        """The file's own description, with the keys by which a simulation knows what the person does."""
        plane = f"{self.stance.plane_mm if zone is None else zone.plane_mm:+.4f}"
        keys = {"dots_per_metre": f"{self.per_metre}", "plane_mm": plane, "line_mm": f"{self.spot_mm:.4f}"}
        says = [f"{self.method} raster, {self.per_metre} dots to the metre", *([holds] if holds else [])]
        if suffix.startswith("slice-"):
            keys["single"], keys["of"] = suffix.split("-")[1::2]
            says.append(f"slice {int(keys['single'])} of {keys['of']}")
        if self.order is not None:
            keys["file_slice_mm"] = f"{self.order.file_slice_mm:.6g}"
            says.append(f"{self.order.slices} slices of {keys['file_slice_mm']} mm")
        elif self.method == "flat":
            keys["flat_column_mm"] = f"{self.split.file_slice_mm:.6g}"
            says.append(f"flat artwork for slices of {keys['flat_column_mm']} mm")
        says += self._typed_warnings()
        says.append(f"focus over the apex at the middle: {plane} mm")
        says.append(f"a marked dot is about {keys['line_mm']} mm wide")
        says += [heights_of(zone, self.made.job.item.end_words("base"))] if zone else []
        keys |= (zone_keys(zone) if zone else {}) | (PART if holds else {})
        return "; ".join([*says, "true size, never scale", keys_text(**keys)])

    def _size(self) -> PieceSize:
        """The picture's size by the dots to the inch that its file states, and its size on the item."""
        (high, wide), per = self.picture.tones.shape, self.picture.per_mm
        own = (wide / per[0], high / per[1]) if per else None
        return PieceSize.of(self.made.job.artwork.name, own, (self.laid.wide_mm, self.laid.high_mm))

    def _told(self, area: float, share: float, size: tuple[int, int], files: tuple[str, ...]) -> RasterSheet:
        from rotary.exports.words import must_show, notes

        pitch, order = self.raster.pitch_mm, self.order
        laser = self.made.job.laser
        high, wide = size if laser.field_axis == "y" else size[::-1]
        middle = self.made.job.artwork.centre_angle_rad
        if order is not None and order.closed:
            middle += (order.slices - order.turn_slices) * order.index_rad / 2
        rim = self.made.job.item.end_words("rim")
        drawn = RasterSheet(
            method=self.method,
            mark=self.mark,
            columns=order.slices if order else self.split.slices,
            file_slice_mm=order.file_slice_mm if order else self.split.file_slice_mm,
            wide_dots=wide,
            high_dots=high,
            wide_mm=wide * pitch,
            high_mm=high * pitch,
            per_metre=self.per_metre,
            dot_mm=pitch * self.raster.per_cell,
            pixels_per_dot=self.raster.per_cell,
            marked_share=share,
            marked_mm2=area,
            picture_dots=(self.picture.tones.shape[1], self.picture.tones.shape[0]),
            picture_dot_mm=1 / self.laid.per_mm,
            picture_wide_mm=self.laid.wide_mm,
            picture_high_mm=self.laid.high_mm,
            size=self._size(),
            middle_rad=middle,
            files=files,
            must_show=(),
            notes=(),
        )
        typed = [f"{one}." for one in self._typed_warnings()]
        return drawn.but(
            must_show=must_show(drawn, self.wish, order, rim),
            notes=(*notes(drawn, self.wish, self.picture.notes, self.made.job.artwork, self.spot_mm), *typed),
        )
