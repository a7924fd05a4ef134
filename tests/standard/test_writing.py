"""What is written comes back the same."""

from hypothesis import given
from hypothesis import strategies as st

from grader.standard import (
    ColourScale,
    Cut,
    Defects,
    LengthShare,
    Limits,
    Stage,
    Standard,
    Step,
    load_shipped,
    read_standard,
    standard_sha256,
    write_standard,
)
from grader.standard.model import ShareBy, StageName
from tests.records import made_up

TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=80).filter(lambda t: bool(t.strip()))
AT_MOST = st.floats(0.01, 1)


@st.composite
def scales(draw: st.DrawFn) -> ColourScale:
    """Steps whose L* falls by 4 or more: always darker and far enough apart."""
    count = draw(st.integers(3, 9))
    falls = draw(st.lists(st.floats(4, 10), min_size=count, max_size=count))
    names = draw(st.lists(TEXT, min_size=count, max_size=count, unique_by=lambda name: name.casefold()))
    chroma = st.floats(-5, 5)
    steps = tuple(
        Step(name=name, lab=(100 - sum(falls[: i + 1]), 5 + draw(chroma), 30 + draw(chroma)))
        for i, name in enumerate(names)
    )
    ends = draw(st.lists(st.floats(1, count), min_size=2, max_size=2, unique=True))
    return ColourScale(steps=steps, target_from=min(ends), target_to=max(ends), off_scale_de=draw(st.floats(1, 50)))


@st.composite
def cuts_and_defects(draw: st.DrawFn) -> tuple[Cut, Defects]:
    width, tolerance = draw(st.floats(4, 40)), draw(st.floats(0.1, 2))
    cut = Cut(name=draw(TEXT), width_mm=width, tolerance_mm=tolerance, skin_on=draw(st.booleans()))
    defects = Defects(
        piece_from_mm=draw(st.floats(1, 20)),
        short_below_mm=draw(st.floats(21, 200)),
        sliver_below_width_mm=draw(st.floats(0.5, width - tolerance)),
        dark_end_from_mm=draw(st.floats(0.5, 100)),
        dark_end_from_dl=draw(st.floats(0.5, 100)),
        spot_from_mm=draw(st.floats(0.2, 50)),
        scrap_below_mm=draw(st.none() | st.floats(20.5, 21)),
        curved_from_bow_share=draw(st.none() | st.floats(0.02, 0.5)),
        torn_end_from_mm=draw(st.none() | st.floats(1, 20)),
    )
    return cut, defects


@st.composite
def length_shares(draw: st.DrawFn, by: ShareBy) -> list[LengthShare]:
    """Up to four, some in mm and some in inches, the shortest first and less asked for of longer ones."""
    inches = draw(st.lists(st.integers(2, 90), max_size=4, unique=True).map(lambda eighths: [e / 8 for e in eighths]))
    lengths = sorted((draw(st.sampled_from([(25.4 * one, None), (25.4 * one, one)])) for one in inches), key=first)
    shares = st.lists(st.floats(0.01, 0.99), min_size=len(lengths), max_size=len(lengths))
    asked = sorted(draw(shares), reverse=True)
    return [
        LengthShare(length_mm=mm if inch is None else round(mm, 4), length_in=inch, at_least_share=share, by=by)
        for (mm, inch), share in zip(lengths, asked, strict=True)
    ]


def first(pair: tuple[float, float | None]) -> float:
    return pair[0]


@st.composite
def optional_limit(draw: st.DrawFn, threshold: float | None) -> float | None:
    """A limit that may be left out, and is where there is nothing to say from when on it counts."""
    return None if threshold is None else draw(st.none() | AT_MOST)


@st.composite
def stages(draw: st.DrawFn, scale: ColourScale) -> tuple[Stage, ...]:
    """Some of both, each with some of what it may say of its own; blanched fries no darker than finished begin."""
    told = []
    darkest_of: dict[StageName, float] = {"blanched": scale.target_from, "held": float(len(scale.steps))}
    for name, darkest in darkest_of.items():
        if draw(st.booleans()):
            target_to = draw(st.floats(1, darkest))
            told.append(
                Stage(
                    name=name,
                    target_from=draw(st.floats(0, target_to, exclude_max=True)),
                    target_to=target_to,
                    surface=draw(st.sampled_from((None, "oiled", "matt"))),
                    spread_steps_at_most=draw(st.none() | st.floats(0.05, 20)),
                    out_of_target_at_most=draw(st.none() | AT_MOST),
                    dark_end_share_at_most=draw(st.none() | AT_MOST),
                    spotted_share_at_most=draw(st.none() | AT_MOST),
                )
            )
    return tuple(told)


@st.composite
def standards(draw: st.DrawFn) -> Standard:
    cut, defects = draw(cuts_and_defects())
    by_count, by_mass = draw(length_shares("count")), draw(length_shares("mass"))
    limits = Limits(
        length_shares=(*by_count, *by_mass),
        short_share_at_most=draw(AT_MOST),
        sliver_share_at_most=draw(AT_MOST),
        dark_end_share_at_most=draw(AT_MOST),
        spotted_share_at_most=draw(AT_MOST),
        width_off_share_at_most=draw(AT_MOST),
        spread_steps_at_most=draw(st.floats(0.05, 20)),
        out_of_target_at_most=draw(AT_MOST),
        scrap_share_at_most=draw(optional_limit(defects.scrap_below_mm)),
        crumb_share_at_most=draw(optional_limit(defects.piece_from_mm)),
        curved_share_at_most=draw(optional_limit(defects.curved_from_bow_share)),
        torn_end_share_at_most=draw(optional_limit(defects.torn_end_from_mm)),
    )
    scale = draw(scales())
    return Standard(
        schema_version=1,
        name=draw(TEXT),
        version=draw(TEXT),
        note=draw(st.text(st.characters(exclude_categories=["Cs"]), max_size=200)),
        length_is=draw(st.sampled_from(("centreline", "straight"))),
        surface=draw(st.sampled_from(("oiled", "matt"))),
        scale=scale,
        cut=cut,
        defects=defects,
        limits=limits,
        plate_height_above_card_mm=draw(st.floats(-50, 50)),
        stages=draw(stages(scale)),
    )


@given(standards())
def test_round_trip_loses_nothing(standard: Standard) -> None:
    assert read_standard(write_standard(standard), name="written") == standard


def test_shipped_standards_round_trip_and_are_the_two_cuts() -> None:
    shipped = load_shipped()
    assert list(shipped) == ["strips-6.5mm-peeled", "strips-9.5mm-skin-on"]
    for standard in shipped.values():
        assert read_standard(write_standard(standard), name="written") == standard
    assert [s.cut.width_mm for s in shipped.values()] == [6.5, 9.5]
    assert [s.cut.skin_on for s in shipped.values()] == [False, True]


def test_the_text_of_given_values_never_changes() -> None:
    """Kept standards and results name values by this hash: if it changes, they no longer name what they judged by."""
    assert standard_sha256(made_up.standard()) == "44df829b148eda4d49060ad549ba79394e05b1d8c9f52418c74008925ba23266"
    assert write_standard(made_up.standard()).startswith("# A house standard. Lengths in mm")
