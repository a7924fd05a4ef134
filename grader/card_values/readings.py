"""What an instrument read of one card, out of a table of words: every patch once, the bare paper, a mat's field."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout
from grader.card_values.model import AsRead
from grader.card_values.readings_table import READINGS_HINT, ReadingsTable, Row
from grader.card_values.spectra import BEGINS_AT_MOST_NM, ENDS_AT_LEAST_NM, WIDEST_STEP_NM, reflectance_to_lab
from grader.colour import D50, D65, ciede2000, lab_d50_to_d65, xyz_to_lab
from grader.errors import DocumentFaulty, Fault

White = Literal["D50", "D65"]

_OFF_DESIGN_DE = 25.0
"""A printer is off by 3 to 6 CIE 2000 units, and by 15 for a colour that its inks don't reach (common practice, no
source); further off, rows were mixed up or another sheet was read."""
_NAMES = ("NUMBER", "SAMPLE_NAME", "SAMPLE_ID")
_LAB = (("L", "A", "B"), ("L*", "A*", "B*"), ("LAB_L", "LAB_A", "LAB_B"))
_XYZ = (("X", "Y", "Z"), ("XYZ_X", "XYZ_Y", "XYZ_Z"))
_SPECTRAL = re.compile(r"SPECTRAL_NM_?(\d{3})")
_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Samples:
    """Readings of some samples: CIELAB (n, 3) in the white of their file, and for D65 (Bradford)."""

    white: White
    quantity: Literal["lab", "xyz", "spectrum"]
    read_lab: FloatArray
    lab: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """Which columns hold what: the patch's name (candidates, the best first), and the numbers."""

    names: tuple[int, ...]
    quantity: Literal["lab", "xyz", "spectrum"]
    numbers: tuple[int, ...]
    wavelength_nm: tuple[float, ...]


def read_card(table: ReadingsTable, layout: Layout, *, white: White | None) -> tuple[AsRead, FloatArray]:
    """The readings of one card, as they came and as CIELAB for D65.

    Parameters
    ----------
    white
        What CIELAB and XYZ are relative to, where the file doesn't say; spectra need none.

    Returns
    -------
    as_read
        In the white that the file has.
    lab
        (n + 1, 3), or (n + 2, 3) on a mat: patches in the layout's order, the paper, the field. CIELAB, D65; readings
        for D50 were adapted to it (Bradford), spectra were integrated for D65.

    Raises
    ------
    DocumentFaulty
        With every fault of the table.
    """
    wanted = sample_names(layout)
    samples = read_samples(table, wanted, white=white)
    faults = tuple(_off_design(samples.lab, layout, wanted))
    if faults:
        raise DocumentFaulty(table.name, faults, hint=READINGS_HINT)
    count = len(layout.patches)
    as_read = AsRead(
        white=samples.white,
        quantity=samples.quantity,
        patch_lab=frozen(samples.read_lab[:count]),
        base_lab=frozen(samples.read_lab[count]),
        field_lab=frozen(samples.read_lab[count + 1]) if layout.field_lab else None,
        source=table.name,
        source_sha256=table.sha256,
    )
    return as_read, samples.lab


def read_samples(table: ReadingsTable, wanted: Sequence[str], *, white: White | None) -> Samples:
    """The readings of samples by their names, in the order wanted; `white` as for `read_card`.

    Raises
    ------
    DocumentFaulty
        With every fault of the table.
    """
    faults: list[Fault] = []
    columns = _columns(table, faults)
    settled = None if columns is None else _settled_white(table, columns, white, faults)
    numbers = None if columns is None else _numbers(table, columns, wanted, faults)
    if columns is None or settled is None or numbers is None:
        raise DocumentFaulty(table.name, tuple(faults), hint=READINGS_HINT)
    read_lab, lab = _lab(columns, numbers, settled)
    return Samples(white=settled, quantity=columns.quantity, read_lab=frozen(read_lab), lab=frozen(lab))


def sample_names(layout: Layout) -> tuple[str, ...]:
    """What is to be read of a sheet, by the names that a table gives them: patch numbers, paper, field."""
    return (*(str(patch.number) for patch in layout.patches), "paper", *(("field",) if layout.field_lab else ()))


def _columns(table: ReadingsTable, faults: list[Fault]) -> _Columns | None:
    """Spectra before XYZ before CIELAB where a file has several: what needs the least conversion."""
    at = {field: index for index, field in enumerate(table.fields)}
    names = tuple(at[name] for name in _NAMES if name in at)
    if not names:
        faults.append(_fault(None, "the file", f"has no column {' or '.join(_NAMES)} that names the patches"))
    spectral = {float(found[1]): index for field, index in at.items() if (found := _SPECTRAL.fullmatch(field))}
    wavelengths = tuple(sorted(spectral))
    if spectral:
        if not _spans(wavelengths):
            span = f"{BEGINS_AT_MOST_NM:g} to {ENDS_AT_LEAST_NM:g} nm in steps of at most {WIDEST_STEP_NM:g} nm"
            faults.append(_fault(None, "the file", f"has spectra that don't span {span}"))
        quantity: Literal["lab", "xyz", "spectrum"] = "spectrum"
        numbers: tuple[int, ...] | None = tuple(spectral[nm] for nm in wavelengths)
    elif (numbers := _triple(at, _XYZ)) is not None:
        quantity = "xyz"
    elif (numbers := _triple(at, _LAB)) is not None:
        quantity = "lab"
    else:
        faults.append(_fault(None, "the file", "has no columns L, a, b, nor X, Y, Z, nor SPECTRAL_NM380 and so on"))
    if faults or numbers is None:
        return None
    return _Columns(names=names, quantity=quantity, numbers=numbers, wavelength_nm=wavelengths)


def _spans(wavelengths: Sequence[float]) -> bool:
    steps_nm = np.diff(wavelengths)
    wide = len(steps_nm) == 0 or steps_nm.max() > WIDEST_STEP_NM
    return not wide and wavelengths[0] <= BEGINS_AT_MOST_NM and wavelengths[-1] >= ENDS_AT_LEAST_NM


def _triple(at: dict[str, int], spellings: Sequence[tuple[str, str, str]]) -> tuple[int, ...] | None:
    return next((tuple(at[name] for name in names) for names in spellings if set(names) <= set(at)), None)


def _settled_white(table: ReadingsTable, columns: _Columns, white: White | None, faults: list[Fault]) -> White | None:
    """The white of the numbers: as the file says (CGATS WEIGHTING_FUNCTION), else as who hands it in says."""
    if columns.quantity == "spectrum":
        return "D65"
    before = len(faults)
    said = " ".join(table.statements.get("WEIGHTING_FUNCTION", ())).upper()
    observer = re.search(r"OBSERVER\W*(\d+)", said)
    illuminant = re.search(r"ILLUMINANT\W*(\w+)", said)
    stated = illuminant[1] if illuminant else None
    if observer and observer[1] != "2":
        faults.append(_fault(None, "the observer", f"is that of {observer[1][:9]} degrees in the file; 2 is needed"))
    if stated not in {"D50", "D65", None}:
        faults.append(_fault(None, "the white", f"is {stated} in the file; only D50 and D65 can be read"))
    elif stated is None and white is None:
        faults.append(_fault(None, "the white", "is not told by the file: say D50 (as print is measured) or D65"))
    elif stated and white and stated != white:
        faults.append(_fault(None, "the white", f"is {stated} in the file, and you said {white}"))
    return cast("White", stated or white) if len(faults) == before else None


def _numbers(table: ReadingsTable, columns: _Columns, wanted: Sequence[str], faults: list[Fault]) -> FloatArray | None:
    """(len(wanted), k) the numbers of each sample, in the order wanted; None where there are faults."""
    before = len(faults)
    name_at = _name_column(table, columns, wanted)
    found: dict[str, tuple[Row, list[float]]] = {}
    for row in table.rows:
        name = _sample(row.cells[name_at], wanted)
        if name is None:
            faults.append(_fault(row.line, f"sample {row.cells[name_at][:20]}", "is none of this sheet's"))
        elif name in found:
            faults.append(_fault(row.line, f"sample {name}", f"is there twice, first on line {found[name][0].line}"))
        else:
            found[name] = row, [plain_number(row.cells[at], comma=table.decimal_comma) for at in columns.numbers]
    missing = [name for name in wanted if name not in found]
    if missing:
        faults.append(_fault(None, "the file", f"has no reading of {', '.join(missing)}"))
    faults += _faults_of_numbers(columns, found)
    if len(faults) > before:
        return None
    return np.array([found[name][1] for name in wanted])


def _name_column(table: ReadingsTable, columns: _Columns, wanted: Sequence[str]) -> int:
    """The column that names the patches: the first that names only samples of the sheet, else the last."""
    for at in columns.names:
        if all(_sample(row.cells[at], wanted) for row in table.rows):
            return at
    return columns.names[-1]


def _sample(cell: str, wanted: Sequence[str]) -> str | None:
    """Which sample a cell names; numbers after the last patch stand for the paper and the field."""
    name = cell.strip().casefold().lstrip("0")
    if name in wanted:
        return name
    beyond = {str(wanted.index(one) + 1): one for one in ("paper", "field") if one in wanted}
    return beyond.get(name)


def plain_number(cell: str, *, comma: bool) -> float:
    """The number in a cell; not a number where there is none that is plain."""
    text = cell.strip().replace(",", ".") if comma else cell.strip()
    return float(text) if _NUMBER.fullmatch(text) else float("nan")


def _faults_of_numbers(columns: _Columns, found: dict[str, tuple[Row, list[float]]]) -> Iterator[Fault]:
    """A wrong scale once for all, else each number that is none or lies out of bounds."""
    if not found:
        return
    numbers = np.array([values for _, values in found.values()])
    # Where nothing is a number there is no scale to be wrong, and each row is told.
    largest = float(np.nanmax(numbers)) if np.isfinite(numbers).any() else np.nan
    small = f"have the wrong scale: the largest is {largest:.3g}, and white has"
    match columns.quantity:
        case "lab" if largest <= 2:
            yield _fault(None, "L, a, b", f"{small} an L* of 100; multiply by 100")
            return
        case "xyz" if largest <= 2:
            yield _fault(None, "X, Y, Z", f"{small} a Y of 100; multiply by 100")
            return
        case "spectrum" if largest > 2:
            told = f"have the wrong scale: the largest is {largest:.3g}, and white reflects 1; divide by 100"
            yield _fault(None, "the spectra", told)
            return
    low, high = _BOUNDS[columns.quantity]
    for name, (row, values) in found.items():
        wrong = [
            value
            for value, least, most in zip(values, _each(low, values), _each(high, values), strict=True)
            if not least <= value <= most
        ]
        if any(np.isnan(values)):
            yield _fault(row.line, f"sample {name}", "has an entry that is no number")
        elif wrong:
            yield _fault(row.line, f"sample {name}", f"is out of bounds: {', '.join(f'{one:g}' for one in wrong)}")


_BOUNDS: dict[str, tuple[tuple[float, ...], tuple[float, ...]]] = {
    "lab": ((0, -128, -128), (100, 128, 128)),
    "xyz": ((0, 0, 0), (110, 110, 130)),
    "spectrum": ((0,), (1.5,)),  # paper with brighteners gives back more in the blue than it gets there
}


def _each(bounds: tuple[float, ...], values: Sequence[float]) -> Sequence[float]:
    return bounds if len(bounds) == len(values) else bounds * len(values)


def _lab(columns: _Columns, numbers: FloatArray, white: White) -> tuple[FloatArray, FloatArray]:
    """CIELAB in the white of the file, and for D65."""
    match columns.quantity:
        case "spectrum":
            lab = reflectance_to_lab(np.array(columns.wavelength_nm), numbers)
        case "xyz":
            lab = xyz_to_lab(numbers / 100, D50 if white == "D50" else D65)
        case "lab":
            lab = numbers
    return lab, lab_d50_to_d65(lab) if white == "D50" else lab


def _off_design(lab: FloatArray, layout: Layout, wanted: Sequence[str]) -> Iterator[Fault]:
    designed = [*(patch.lab for patch in layout.patches), layout.base_lab]
    if layout.field_lab:
        designed.append(layout.field_lab)
    for name, off_de in zip(wanted, ciede2000(lab, np.array(designed)), strict=True):
        if off_de > _OFF_DESIGN_DE:
            told = f"is {off_de:.0f} CIE 2000 units from what was printed there; were samples mixed up?"
            yield _fault(None, f"sample {name}", told)


def _fault(line: int | None, field: str, message: str) -> Fault:
    return Fault(line=line, field=field, message=message)
