"""The description in the bundle, followed to the letter with openssl and sha256sum alone."""

import re
import subprocess
from pathlib import Path

import pytest

from grader.evidence.chain import read_entries
from grader.evidence.pack import unpack
from grader.evidence.plain_check import HOW_TO, KEY, MANIFEST, SIGNATURE, SUMS, how_to_check
from tests.evidence import cases


@pytest.fixture
def opened(tmp_path: Path) -> Path:
    """A bundle, opened into a folder by the zip program of the system's Python, not by ours."""
    import zipfile

    file = tmp_path / "bundle.zip"
    file.write_bytes(cases.bundle(cases.house(tmp_path / "evidence")))
    zipfile.ZipFile(file).extractall(tmp_path / "opened")
    return tmp_path / "opened"


def commands(opened: Path) -> list[str]:
    """The lines that begin with a dollar sign, as they stand in the description."""
    text = (opened / HOW_TO).read_text(encoding="utf-8")
    return re.findall(r"^   \$ (.*)$", text, re.MULTILINE)


def run(opened: Path, command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["/bin/sh", "-c", command], cwd=opened, capture_output=True, text=True, check=False)


def test_every_line_of_the_description_works(opened: Path) -> None:
    signature, key, files, sums, chain = commands(opened)
    assert "Signature Verified Successfully" in run(opened, signature).stdout
    found = run(opened, key).stdout.split()[0]
    assert found in (opened / HOW_TO).read_text(encoding="utf-8")
    checked = run(opened, files)
    assert checked.returncode == 0
    assert all(line.endswith(": OK") for line in checked.stdout.splitlines())
    assert run(opened, sums).stdout.split()[0] in (opened / MANIFEST).read_text(encoding="utf-8")
    hashes = [line.split()[0] for line in run(opened, chain).stdout.splitlines()]
    links = [entry.link for entry in read_entries((opened / "chain.jsonl").read_bytes())]
    assert hashes == [link.hash for link in links]
    assert [link.before for link in links[1:]] == hashes[:-1]
    assert f'"head":"{hashes[-1]}"' in (opened / MANIFEST).read_text(encoding="utf-8")


def test_what_is_changed_is_found_by_these_lines(opened: Path) -> None:
    signature, _, files, sums, _ = commands(opened)
    photo = opened / "plates/001.photo.jpg"
    photo.write_bytes(photo.read_bytes() + b"x")
    assert run(opened, files).returncode != 0
    manifest = opened / MANIFEST
    manifest.write_bytes(manifest.read_bytes().replace(b"OM-0412", b"OM-0413"))
    assert run(opened, signature).returncode != 0
    lines = (opened / SUMS).read_text(encoding="ascii").splitlines(keepends=True)
    (opened / SUMS).write_text("".join(lines[1:]), encoding="ascii")
    assert run(opened, sums).stdout.split()[0] not in manifest.read_text(encoding="utf-8")


def test_every_file_stands_in_the_list(opened: Path) -> None:
    told = {line.split("  ")[1] for line in (opened / SUMS).read_text(encoding="ascii").splitlines()}
    here = {path.relative_to(opened).as_posix() for path in opened.rglob("*") if path.is_file()}
    assert here - told == {MANIFEST, SIGNATURE, SUMS}


def test_the_description_promises_nothing_that_it_cannot(tmp_path: Path) -> None:
    text = how_to_check(cases.house(tmp_path).key.public).decode()
    assert "do NOT prove" in text
    assert "safe" in text
    assert max(len(line) for line in text.splitlines()) <= 125
    assert KEY in text


def test_the_same_case_is_the_same_file(tmp_path: Path) -> None:
    here = cases.house(tmp_path)
    case = cases.case(here)
    from grader.evidence.sealing import seal

    first, second = seal(case, cases.DOSSIER, here.key), seal(case, cases.DOSSIER, here.key)
    assert first.data == second.data
    assert list(unpack(first.data)) == sorted(unpack(first.data))
