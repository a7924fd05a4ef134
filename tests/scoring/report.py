"""The scores in words and columns, for a terminal."""

from collections.abc import Iterator, Sequence
from dataclasses import fields

from tests.scoring.figures import Figures, by_group, figures
from tests.scoring.plates import PlateScore


def _plate_line(score: PlateScore) -> str:
    name = f"{score.name:26}"
    if not score.has_result:
        return f"{name} no result"
    if score.must_refuse:
        said = "refused" if score.refused else "NOT REFUSED"
        reason = (
            ", for the right reason" if score.right_reason else ", NOT for the right reason" if score.refused else ""
        )
        return f"{name} {said}{reason}: {', '.join(score.codes) or 'no reason'}"
    if score.refused:
        return f"{name} WRONGLY REFUSED: {', '.join(score.codes)}"
    own = figures([score])
    return (
        f"{name} fries {own.fries:3d}  PQ {own.pq:.3f}  false {own.false_share:.3f}  "
        f"length {own.length_mae_mm:.2f} ({own.length_bias_mm:+.2f}) mm  CIE 2000 {own.colour_de_median:.2f}  "
        f"dLab {own.colour_bias_l:+.1f} {own.colour_bias_a:+.1f} {own.colour_bias_b:+.1f}"
    )


def _table(groups: dict[str, Figures]) -> Iterator[str]:
    yield f"{'':20}" + "".join(f"{name:>15}" for name in groups)
    for field in fields(Figures):
        values = [getattr(group, field.name) for group in groups.values()]
        cells = [f"{value:15d}" if isinstance(value, int) else f"{value:15.3f}" for value in values]
        yield f"{field.name:20}" + "".join(cells)


def report(scores: Sequence[PlateScore]) -> str:
    """A line a plate, the figures of each group in columns, and the refusals."""
    bad = [score for score in scores if score.must_refuse]
    wrong = [score for score in scores if score.refused and not score.must_refuse]
    lines = [_plate_line(score) for score in scores]
    groups = by_group(scores)
    if groups:
        lines += ["", *_table(groups)]
    refused, right = sum(s.refused for s in bad), sum(s.right_reason for s in bad)
    lines += ["", f"refused: {refused} of {len(bad)} bad plates, {right} for the right reason"]
    lines += [f"good plates wrongly refused: {len(wrong)}"]
    return "\n".join(lines)
