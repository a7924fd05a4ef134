"""Bars of evidence: tampering that is found, times and sizes of 20 plates, the same numbers on other machines."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from grader.evidence.dossier import draw_dossier
from grader.evidence.sealing import TOLERANCE, seal
from grader.evidence.verifying import Asked, verify
from tests.evidence import cases
from tests.evidence.real_plates import plate_files, real_case
from tests.evidence.tampering import TAMPERINGS, scene

ROOT = Path(__file__).parent.parent.parent
OTHER_PYTHON = "FRY_GRADER_OTHER_PYTHON"
"""Names another interpreter that has the program's dependencies, to grade the same file by."""


@pytest.mark.bar
def test_every_way_to_tamper_is_found(tmp_path: Path) -> None:
    here = scene(tmp_path / "evidence")
    asked = Asked(key=here.fingerprint, head=here.head, lot="OM-0412", grading=False)
    assert verify(here.good, asked).holds
    found = [way for way, tamper in TAMPERINGS.items() if not verify(tamper(here), asked).holds]
    print(f"tampering found: {len(found)} of {len(TAMPERINGS)} ways (asked: all of at least 60), none crashes")
    assert len(TAMPERINGS) >= 60
    assert len(found) == len(TAMPERINGS)


@pytest.mark.bar
@pytest.mark.slow
@pytest.mark.by_hand
def test_twenty_plates_in_time(tmp_path: Path) -> None:
    """Wants a quiet machine with two cores."""
    here = cases.house(tmp_path / "evidence")
    case = real_case(here, plate_files(20))
    begun = time.perf_counter()
    dossier = draw_dossier(case, here.key.public)
    drawn_s = time.perf_counter() - begun
    sealed = seal(case, dossier, here.key).data
    begun = time.perf_counter()
    assert verify(sealed, Asked(grading=False)).holds
    quick_s = time.perf_counter() - begun
    begun, used = time.perf_counter(), os.times()
    assert verify(sealed, Asked()).holds
    graded_s, after = time.perf_counter() - begun, os.times()
    cpu_s = sum(after[:4]) - sum(used[:4])
    size_mb = len(dossier) / 1e6
    print(f"20 plates: dossier in {drawn_s:.1f} s (asked: 20), {size_mb:.1f} MB (asked: 12)")
    print(f"verified in {quick_s:.2f} s without grading (asked: 2), in {graded_s:.0f} s with (asked: 60)")
    print(f"that took {cpu_s:.0f} s of processor time on {os.cpu_count()} cores, at a load of {os.getloadavg()[0]:.1f}")
    assert size_mb < 12
    assert drawn_s < 20
    assert quick_s < 2
    assert graded_s < 60


def _verified_by(python: str, file: Path, threads: int) -> str:
    """What the check of numbers says there, in a process of its own."""
    environment = {**os.environ, "OMP_NUM_THREADS": str(threads), "OPENBLAS_NUM_THREADS": str(threads)}
    environment |= {"OPENCV_FOR_THREADS_NUM": str(threads), "PYTHONPATH": str(ROOT)}
    command = [python, "-m", "grader", "evidence", "verify", str(file), "--json"]
    told = subprocess.run(command, capture_output=True, text=True, env=environment, cwd=ROOT, check=True).stdout
    (words,) = [check["words"] for check in json.loads(told)["checks"] if check["key"] == "numbers"]
    return str(words)


@pytest.mark.bar
@pytest.mark.slow
def test_one_or_two_threads_and_another_python_give_the_same_numbers(tmp_path: Path) -> None:
    """`verify` refuses whatever is off by more than a tenth of its standard uncertainty; it says by how much."""
    assert TOLERANCE <= 0.1
    here = cases.house(tmp_path / "evidence")
    case = real_case(here, plate_files(3))
    file = tmp_path / "claim.zip"
    file.write_bytes(seal(case, cases.DOSSIER, here.key).data)
    told = {f"{threads} thread(s)": _verified_by(sys.executable, file, threads) for threads in (1, 2)}
    other = os.environ.get(OTHER_PYTHON)
    if other:
        version = subprocess.run([other, "-V"], capture_output=True, text=True, check=True).stdout.strip()
        told[version] = _verified_by(other, file, 1)
    for how, words in told.items():
        print(f"{how}: {words}")
        assert "each is within 10 %" in words
