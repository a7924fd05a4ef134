"""From an outline and its pixels to a measured fry."""

from dataclasses import dataclass, replace
from itertools import repeat

import numpy as np

from grader.arrays import FloatArray, LabelArray, MaskArray, PixelArray
from grader.card.model import Camera
from grader.colour.correction import for_pixels
from grader.colour.flesh import FleshSample, sample_corrected_flesh
from grader.colour.fry_colour import flesh_lab, mean_flesh_labs
from grader.colour.light import light_at
from grader.colour.sheet import SheetColour
from grader.colour.shine import MATT, Shine, plate_shine
from grader.fries.appearance import Appearance, describe
from grader.fries.bow import bow_share, measure_bow
from grader.fries.cross_sections import measure_as_seen, measure_strips
from grader.fries.faint_edges import faint_share, perhaps_misread
from grader.fries.field import TopFace, make_field, place_across
from grader.fries.geometry import StripGeometry, measure_strip
from grader.fries.lying import Relief, goes_below, lie_over_each_other, perhaps_raised, raised_mm
from grader.fries.mass import estimate_mass
from grader.fries.model import Colour, Fry, FryFlag, Gaps, Mass, Measured
from grader.fries.outline import Outline
from grader.fries.outline_ways import outline_ways
from grader.fries.sampling import GRID_MM, FryPixels, draw_pixels
from grader.fries.skin import LIGHT_BESIDE_SKIN, LIGHT_BESIDE_SKIN_U, skin_mask
from grader.fries.torn_ends import end_gaps

_LEAST_PIXELS = 60
_TOUCHING_FROM = 0.04
_EDGE_POINTS = 3
_ODD_AREA = 0.35
_SHINY_FROM = 0.12
_CLIPPED_FROM = 0.02


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """How high over the sheet the fries lie, and how sure that is; if in a heap; how wide they were cut; if matt.

    `relief` is how high each of them lies; without it an end that meets another fry, where they lie over each other,
    counts as hidden.
    """

    height_mm: float
    height_u_mm: float
    heaped: bool
    cut_width_mm: float
    matt: bool
    relief: Relief | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Seen:
    """What was drawn of one fry, before the plate's shine is known.

    Attributes
    ----------
    hidden
        An end of it is.
    xyz
        (k, 3) of its pixels, corrected, light divided out.
    light_u
        Relative standard uncertainty of that light.
    """

    number: int
    outline: Outline
    strip: StripGeometry
    bow: Measured
    gaps: Gaps
    hidden: bool
    pixels: FryPixels
    xyz: FloatArray
    light_u: float


_Looks = tuple[MaskArray, Appearance | None]
"""(k,) which of a fry's pixels show skin, and what the flesh of its top face looks like."""


def measure_fries(
    pixels: PixelArray,
    labels: LabelArray,
    outlines: dict[int, Outline],
    camera: Camera,
    colour: SheetColour,
    *,
    ground: Ground,
) -> tuple[Fry, ...]:
    """Measure every fry of a plate.

    Parameters
    ----------
    pixels, labels
        (h, w, 3) and (h, w), of the photo's own size.
    outlines
        `trace_outlines(labels)`.
    camera, colour
        Pose over the sheet; correction and light.
    ground
        Where and how the fries lie.
    """
    strips = measure_strips(
        outlines,
        camera,
        ground_mm=ground.height_mm,
        ground_u_mm=ground.height_u_mm,
        cut_width_mm=ground.cut_width_mm,
    )
    if not ground.heaped:
        ground_mm = ground.height_mm, ground.height_u_mm
        strips = measure_as_seen(pixels, labels, outlines, strips, camera, ground=ground_mm)
    over = lie_over_each_other([(outlines[number], strip) for number, strip in strips.items()])
    corrected = for_pixels(colour.correction, pixels.dtype)
    seen = []
    for number, outline in outlines.items():
        relief = ground.relief
        hidden = ground.heaped or (over and any(goes_below(outline, end, relief) for end in strips[number].ends))
        touching = over and bool((outline.other > 0).any())
        lift_mm = raised_mm(strips[number], relief, ground_mm=ground.height_mm) if touching and relief else 0.0
        lying_mm = ground.height_mm + lift_mm
        strip = _lifted(strips[number], outline, camera, ground, lying_mm) if lift_mm else strips[number]
        faint = faint_share(pixels, outline, strip)
        strip = perhaps_misread(strip, faint)
        strip = perhaps_raised(strip, camera) if touching else strip
        ways = outline_ways(outline, strip, camera)
        drawn = draw_pixels(pixels, labels, number, strip, camera, ground_mm=lying_mm)
        light, light_u = light_at(colour.light, drawn.xy_mm)
        seen.append(
            _Seen(
                number=number,
                outline=outline,
                strip=strip,
                bow=measure_bow(ways, strip),
                gaps=end_gaps(outline, ways, strip, faint_share=faint),
                hidden=hidden,
                pixels=drawn,
                xyz=corrected.xyz(drawn.values) / light[:, None],
                light_u=float(np.mean(light_u)) if len(light_u) else 0.0,
            )
        )
    all_flesh = [_flesh(one, None, ground) for one in seen]
    shine = MATT if ground.matt else plate_shine([one for one in all_flesh if one is not None], colour.correction)
    looks = [_looks(one, flesh_lab(one.xyz, shine, colour), ground) for one in seen]
    samples = [
        _flesh(one, ~skin, ground) if skin.any() else whole
        for one, whole, (skin, _) in zip(seen, all_flesh, looks, strict=True)
    ]
    colours = _colours(samples, shine, colour)
    return tuple(map(_measured, seen, looks, samples, colours, repeat(ground)))


def _lifted(strip: StripGeometry, outline: Outline, camera: Camera, ground: Ground, lying_mm: float) -> StripGeometry:
    """The strip measured where it lies, on others."""
    return measure_strip(
        outline,
        camera,
        ground_mm=lying_mm,
        ground_u_mm=ground.height_u_mm,
        width_mm=ground.cut_width_mm,
        section=strip.section,
    )


def _flesh(seen: _Seen, flesh: MaskArray | None, ground: Ground) -> FleshSample | None:
    """Of its pixels those (k,) that show flesh beside skin; None: all, there is no skin."""
    drawn = seen.pixels
    if (len(drawn.rgb) if flesh is None else flesh.sum()) < _LEAST_PIXELS:
        return None
    if flesh is None:
        return sample_corrected_flesh(drawn.rgb, seen.xyz, drawn.on_top, light_u=seen.light_u, heaped=ground.heaped)
    return sample_corrected_flesh(
        drawn.rgb[flesh],
        seen.xyz[flesh] / LIGHT_BESIDE_SKIN,
        drawn.on_top[flesh],
        light_u=float(np.hypot(seen.light_u, LIGHT_BESIDE_SKIN_U / LIGHT_BESIDE_SKIN)),
        heaped=ground.heaped,
    )


def _measured(seen: _Seen, looks: _Looks, sample: FleshSample | None, mean: Colour | None, ground: Ground) -> Fry:
    skin, look = looks
    flags = _flags(seen, sample)
    whole = not ground.heaped and not flags & (FryFlag.END_HIDDEN | FryFlag.AT_PHOTO_EDGE | FryFlag.ODD_SHAPE)
    fry = _fry(
        seen,
        whole=whole,
        flags=flags,
        colour=mean,
        look=look,
        skin_share=float(skin.mean()) if len(skin) else 0.0,
    )
    fry = replace(fry, mass_g=_mass(seen.strip, ground)) if whole else fry
    if FryFlag.SLOPING in flags:
        fry = replace(fry, colour=None, body_lab=None, end_labs=None, spread_de=None)
    no_width = ground.heaped or bool(flags & (FryFlag.ODD_SHAPE | FryFlag.ON_EDGE))
    return replace(fry, width_mm=None) if no_width else fry


def _looks(seen: _Seen, lab: FloatArray, ground: Ground) -> _Looks:
    drawn = seen.pixels
    none = np.zeros(len(lab), bool)
    if drawn.on_top.sum() < _LEAST_PIXELS:
        return none, None
    field = make_field(drawn.along_mm, drawn.across_mm, GRID_MM)
    face = TopFace(field=field, shown=drawn.on_top, place=place_across(field, drawn.on_top))
    skin = none if ground.heaped else skin_mask(lab, face)
    if (drawn.on_top & ~skin).sum() < _LEAST_PIXELS:
        return skin, None
    return skin, describe(lab, drawn, skin, face, length_mm=seen.strip.length_mm, heaped=ground.heaped)


def _colours(samples: list[FleshSample | None], shine: Shine, colour: SheetColour) -> list[Colour | None]:
    means = iter(mean_flesh_labs([sample for sample in samples if sample is not None], shine, colour))
    found = [None if sample is None else next(means) for sample in samples]
    return [None if one is None else Colour(lab=one.lab, shared=one.shared, own_u=one.own_u) for one in found]


def _flags(seen: _Seen, sample: FleshSample | None) -> FryFlag:
    outline, strip = seen.outline, seen.strip
    flags = FryFlag.NONE
    if seen.hidden:
        flags |= FryFlag.END_HIDDEN
    if outline.at_photo_edge.sum() > _EDGE_POINTS:
        flags |= FryFlag.AT_PHOTO_EDGE
    if np.mean(outline.other > 0) > _TOUCHING_FROM:
        flags |= FryFlag.SPLIT_FROM_NEIGHBOUR
    if strip.misfit > _ODD_AREA:
        flags |= FryFlag.ODD_SHAPE
    if strip.section.on_edge:
        flags |= FryFlag.ON_EDGE
    if strip.section.pointed:
        flags |= FryFlag.SLOPING
    if sample is not None and sample.left_out_share > _SHINY_FROM:
        flags |= FryFlag.SHINY
    if seen.pixels.clipped_share > _CLIPPED_FROM:
        flags |= FryFlag.CLIPPED
    return flags


def _mass(strip: StripGeometry, ground: Ground) -> Mass:
    length, width = _size(strip, strip.length_mm, strip.length_u_mm), _size(strip, strip.width_mm, strip.width_u_mm)
    return estimate_mass(strip.area_mm2, length, width, cut_width_mm=ground.cut_width_mm, raw=ground.matt)


def _size(strip: StripGeometry, value_mm: float, u_mm: float) -> Measured:
    return Measured(value=value_mm, u=u_mm, shared_u=strip.shared_u * value_mm)


def _gaps(seen: _Seen, look: Appearance | None) -> Gaps:
    """Of a charred end the outline was lost and drawn anew, slice by slice: its gap says nothing."""
    if look is None or look.dark_end is None or look.end_labs is None:
        return seen.gaps
    first, last = look.end_labs
    return (None, seen.gaps[1]) if first[0] <= last[0] else (seen.gaps[0], None)


def _fry(
    seen: _Seen, *, whole: bool, flags: FryFlag, colour: Colour | None, look: Appearance | None, skin_share: float
) -> Fry:
    strip = seen.strip
    dark = look.dark_end if look and whole else None
    return Fry(
        number=seen.number,
        outline_px=seen.outline.points_px,
        centreline_px=strip.centreline_px,
        length_mm=_size(strip, strip.length_mm, strip.length_u_mm) if whole else None,
        straight_mm=_size(strip, strip.straight_mm, strip.straight_u_mm) if whole else None,
        width_mm=_size(strip, strip.width_mm, strip.width_u_mm),
        bow_mm=seen.bow.value if whole else None,
        bow_share=bow_share(seen.bow, strip) if whole else None,
        end_gaps_mm=_gaps(seen, look) if whole else None,
        area_mm2=strip.area_mm2,
        colour=colour,
        body_lab=look.body_lab if look else None,
        end_labs=look.end_labs if look else None,
        spread_de=look.spread_de if look else None,
        dark_end_mm=Measured(value=dark.reach_mm, u=dark.reach_u_mm) if dark else None,
        dark_end_dl=dark.darker if dark else None,
        spots_mm=look.spots_mm if look else (),
        skin_share=skin_share,
        whole=whole,
        flags=flags,
    )
