"""Graded photos, typed in by hand, for tests of what comes after grading; nothing here was measured."""

from dataclasses import replace
from datetime import date

import numpy as np

from grader.arrays import frozen
from grader.card.model import Camera, FoundSheet, Layout, Patch, Rectangle, Tag
from grader.decision.model import About, LimitDecision, Outcome, Verdict
from grader.fries.model import Colour, Fry, FryFlag, Mass, Measured, Plate
from grader.grading import ColourQuality, GradedPhoto
from grader.photo.model import Photo
from grader.reasons import Reason
from grader.standard.model import ColourScale, Cut, Defects, LengthShare, Limits, Standard, Step
from grader.trueness import standing_of

WIDTH_PX, HEIGHT_PX = 900, 700


def standard() -> Standard:
    return Standard(
        schema_version=1,
        name="Test house",
        version="1",
        note="invented",
        length_is="centreline",
        surface="oiled",
        scale=ColourScale(
            steps=(
                Step(name="pale", lab=(75.0, -2.0, 25.0)),
                Step(name="straw", lab=(68.0, 3.0, 32.0)),
                Step(name="golden", lab=(60.0, 8.0, 35.0)),
                Step(name="dark", lab=(45.0, 14.0, 28.0)),
            ),
            target_from=2.0,
            target_to=3.3,
            off_scale_de=8.0,
        ),
        cut=Cut(name="9.5 mm", width_mm=9.5, tolerance_mm=1.5, skin_on=True),
        defects=Defects(
            piece_from_mm=10.0,
            short_below_mm=30.0,
            sliver_below_width_mm=5.0,
            dark_end_from_mm=5.0,
            dark_end_from_dl=10.0,
            spot_from_mm=3.0,
            scrap_below_mm=20.0,
            curved_from_bow_share=0.1,
            torn_end_from_mm=1.5,
        ),
        limits=Limits(
            length_shares=(LengthShare(length_mm=50.8, at_least_share=0.6),),
            short_share_at_most=0.15,
            sliver_share_at_most=0.1,
            dark_end_share_at_most=0.1,
            spotted_share_at_most=0.1,
            width_off_share_at_most=0.2,
            spread_steps_at_most=0.6,
            out_of_target_at_most=0.3,
        ),
        plate_height_above_card_mm=0.0,
    )


def fry(number: int, *, y: float, length_px: float = 400.0, lab: tuple[float, float, float] = (60.0, 8.0, 35.0)) -> Fry:
    """A fry lying level, 4 px a mm, 36 px wide, its left tip at x = 40."""
    left, right = 40.0, 40.0 + length_px
    outline = np.array([(left, y - 18), (right, y - 18), (right, y + 18), (left, y + 18)], np.float64)
    return Fry(
        number=number,
        outline_px=frozen(outline),
        centreline_px=frozen(np.array([(left, y), (right, y)], np.float64)),
        length_mm=Measured(value=length_px / 4, u=0.6),
        straight_mm=Measured(value=length_px / 4 - 0.5, u=0.6),
        width_mm=Measured(value=9.0, u=0.3),
        area_mm2=length_px / 4 * 9,
        colour=Colour(
            lab=frozen(np.array(lab)),
            shared=frozen(np.diag([0.9, 0.6, 1.2])),
            own_u=frozen(np.array([0.4, 0.8, 0.5])),
        ),
        body_lab=frozen(np.array(lab)),
        end_labs=(frozen(np.array(lab)), frozen(np.array(lab) - (15.0, 0.0, 5.0))),
        spread_de=2.0,
        dark_end_mm=None,
        dark_end_dl=None,
        spots_mm=(),
        skin_share=0.05,
        whole=True,
        flags=FryFlag.NONE,
        bow_mm=2.0,
        bow_share=Measured(value=8.0 / length_px, u=0.005),
        end_gaps_mm=(Measured(value=0.2, u=0.35), Measured(value=0.3, u=0.35)),
        mass_g=Mass(value=length_px / 50, shared_u=length_px / 300, own_u=length_px / 400),
    )


def fries() -> tuple[Fry, ...]:
    """One sound, one with a dark end and spots, one split off, one with a hidden end, one without colour."""
    hidden = replace(
        fry(4, y=400, lab=(48.0, 13.0, 30.0)),
        length_mm=None,
        straight_mm=None,
        width_mm=None,
        whole=False,
        bow_share=None,
        end_gaps_mm=None,
        mass_g=None,
        flags=FryFlag.END_HIDDEN | FryFlag.SHINY,
    )
    bare = replace(fry(5, y=520, length_px=90), colour=None, body_lab=None, end_labs=None, spread_de=None)
    return (
        fry(1, y=100),
        replace(
            fry(2, y=200, length_px=300),
            dark_end_mm=Measured(value=8.5, u=1.0),
            dark_end_dl=14.0,
            spots_mm=(3.5, 4.25),
        ),
        replace(fry(3, y=300, length_px=220), flags=FryFlag.SPLIT_FROM_NEIGHBOUR),
        hidden,
        bare,
    )


def plate() -> Plate:
    labels = np.zeros((HEIGHT_PX, WIDTH_PX), np.uint16)
    for one in fries():
        (left, top), (right, bottom) = one.outline_px.min(axis=0), one.outline_px.max(axis=0)
        labels[int(top) : int(bottom) + 1, int(left) : int(right) + 1] = one.number
    return Plate(fries=fries(), labels=frozen(labels), heaped=False)


def photo(name: str = "plate1.jpg") -> Photo:
    pixels = np.full((HEIGHT_PX, WIDTH_PX, 3), (90, 90, 95), np.uint8)
    pixels[plate().labels > 0] = (214, 160, 80)
    return Photo(
        name=name,
        sha256="ab" * 32,
        pixels=frozen(pixels),
        file_format="JPEG",
        source_profile="sRGB (untagged)",
        focal_35mm=26.0,
        taken_at="2026-03-05T12:10:00",
    )


def sheet() -> FoundSheet:
    layout = Layout(
        key="card-a6",
        name="A6 card",
        kind="card",
        width_mm=105.0,
        height_mm=148.0,
        tag_size_mm=16.0,
        tags=(Tag(number=0, x_mm=4.0, y_mm=4.0),),
        patches=(Patch(number=1, area=Rectangle(x_mm=30, y_mm=30, width_mm=10, height_mm=10), lab=(50.0, 0.0, 0.0)),),
        base_lab=(95.0, 0.0, 0.0),
        field=None,
        field_lab=None,
    )
    camera = Camera(
        intrinsics=frozen(np.eye(3)),
        rotation=frozen(np.eye(3)),
        translation=frozen(np.zeros(3)),
        radial=0.0,
        size_px=(WIDTH_PX, HEIGHT_PX),
        focal_known=True,
        scale_u=0.003,
    )
    return FoundSheet(
        layout=layout,
        homography=frozen(np.eye(3)),
        corners_px=frozen(np.array([(620.0, 120.0), (860.0, 130.0), (850.0, 470.0), (610.0, 460.0)])),
        camera=camera,
        hidden_tags=(3,),
        tag_rms_px=0.4,
    )


def limit(key: str = "colour", outcome: Outcome = Outcome.PASS, *, about: About = "colour") -> LimitDecision:
    return LimitDecision(
        key=key,
        about=about,
        title=f"The limit on {key}",
        outcome=outcome,
        measured=2.4,
        u=0.2,
        lower=2.0,
        upper=3.3,
        unit="steps",
        probability=0.97,
        guard=0.33,
        counted=4,
        left_out=1,
        more_plates=2 if outcome is Outcome.UNDECIDED else 0,
        finding=f"{key} {outcome.value}",
        reason=f"Why {key} came out as {outcome.value}.",
        remedy="Take another plate." if outcome is Outcome.UNDECIDED else "",
        arithmetic="2.4 ± 0.2 (k = 1) against 2.0 to 3.3",
    )


def verdict(outcome: Outcome = Outcome.PASS) -> Verdict:
    limits = (limit(), limit("length_50.8", outcome, about="length"))
    return Verdict(
        outcome=outcome,
        headline=f"The batch came out as {outcome.value}.",
        limits=limits,
        fries_counted=4,
        fries_left_out=1,
        plates=1,
    )


def graded(name: str = "plate1.jpg", outcome: Outcome = Outcome.PASS) -> GradedPhoto:
    return GradedPhoto(
        name=name,
        sha256="ab" * 32,
        method_version="1",
        photo=photo(name),
        sheet=sheet(),
        colour_quality=ColourQuality(
            expected_de=1.2,
            expected_de_95=2.4,
            patches_used=22,
            patches_left_out=2,
            light_fall_off=0.12,
            shared_lab_u={"fit": np.array([0.4, 0.2, 0.5]), "shine": np.array([1.0, 0.1, 2.0])},
        ),
        plate=plate(),
        verdict=verdict(outcome),
        reasons=(Reason(code="tag_hidden", message="One tag is hidden.", hint="Keep the card free."),),
        standing=standing_of(None, None, date(2026, 3, 5), "1"),
    )


def refused(name: str = "nocard.jpg", *, decoded: bool = True) -> GradedPhoto:
    return GradedPhoto(
        name=name,
        sha256="cd" * 32,
        method_version="1",
        photo=photo(name) if decoded else None,
        sheet=None,
        colour_quality=None,
        plate=None,
        verdict=None,
        reasons=(
            Reason(code="card_not_found", message="No card is in the photo.", hint="Lay the card beside the plate."),
        ),
    )
