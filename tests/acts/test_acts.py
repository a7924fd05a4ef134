"""Every deed asks who acts, and pages know no way around."""

import ast
import importlib
import pkgutil
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest

from grader import acts, pages
from grader.records.database import Setting
from grader.records.house_values import HouseValues, house_values, keep_house_values
from grader.records.kept_files import Signed
from grader.records.kept_standards import load_kept
from grader.roles.model import HOUSE, NOBODY, Actor, Duty, NotAllowed, Role
from grader.standard import load_shipped

COOK = Actor(name="cook@house.example", roles=frozenset({Role.COOK}))
AUDITOR = Actor(name="auditor@house.example", roles=frozenset({Role.AUDITOR}))
MODULES = {
    one.name: importlib.import_module(f"{acts.__name__}.{one.name}") for one in pkgutil.iter_modules(acts.__path__)
}
COOKS_DEEDS = {
    *("know_kitchen", "keep_graded", "keep_decision", "keep_facts", "keep_call", "draw_for_shift"),
    *("batch_for", "keep_sheet", "batches_of_line", "batch_keeper", "remember_place"),
}
AUDITORS_DEEDS = {"batches_page", "plates_of_batch", "lots", "export", "from_house", "kept_plates", "verify"}


def deeds() -> Iterator[tuple[str, Callable[..., Any]]]:
    """What the modules of deeds offer to pages."""
    for module in MODULES.values():
        for name, value in vars(module).items():
            own = callable(value) and not isinstance(value, type) and not name.startswith("_")
            if own and name not in {"behind", "require", "replace", "house_values"}:
                yield name, value


@pytest.mark.parametrize(("name", "deed"), list(deeds()))
def test_a_deed_refuses_before_it_looks_at_anything(name: str, deed: Callable[..., Any]) -> None:
    given = [None] * 4 if name == "batch_keeper" else [None] if name == "remember_place" else []
    with pytest.raises(NotAllowed):
        deed(NOBODY, *given)
    for who, allowed in ((COOK, COOKS_DEEDS), (AUDITOR, AUDITORS_DEEDS)):
        if name not in allowed:
            with pytest.raises(NotAllowed):
                deed(who, *given)
        else:
            with pytest.raises((TypeError, AttributeError)):  # let through: it misses what it is to do it to
                deed(who, *given)


def _raw() -> set[tuple[str, str]]:
    """Module and name of everything that a deed stands before."""
    found = set()
    for module in MODULES.values():
        for node in ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ImportFrom) and node.module and not node.module.startswith("grader.roles"):
                found |= {(node.module, one.name) for one in node.names if (one.asname or "").startswith("_")}
    return found


def test_pages_call_nothing_that_a_deed_stands_before() -> None:
    names = {name for _, name in _raw()} | {"BatchKeeper"}
    assert "keep_standard" in names
    around = []
    for file in sorted(Path(pages.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module and not node.module.startswith("grader.acts"):
                around += [f"{file.name}: {node.module}.{one.name}" for one in node.names if one.name in names]
            if isinstance(node, ast.Attribute) and node.attr in {"new_code", "unpair_all"}:
                around.append(f"{file.name}: {node.attr}")
            if isinstance(node, ast.Attribute) and node.attr == "make" and "keyring" in ast.unparse(node.value).lower():
                around.append(f"{file.name}: {node.attr}")
    assert around in ([], ["records_keeping.py: grader.records.database.importing.BatchKeeper"]), "a type, never called"


def _signed_arguments(do: Callable[..., Any]) -> list[str]:
    """The arguments by which a deed is told who did it: a name, or values with a field `by`."""
    found = []
    for name, kind in get_type_hints(do).items():
        kinds = [kind, *get_args(kind)]
        kinds += [inner for one in get_args(kind) for inner in get_args(one)]
        told = [{field.name for field in fields(one)} for one in kinds if is_dataclass(one)]
        if name == "by" or any("by" in names for names in told):
            found.append(name)
    return found


def test_whatever_says_who_did_it_is_signed_by_the_login() -> None:
    """Of every deed that is told who did it; values of the house and what is only asked for aren't signed."""
    unsigned, signing = [], set()
    for module in MODULES.values():
        for node in ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8")).body:
            if not isinstance(node, ast.Assign) or not isinstance(node.value, ast.Call):
                continue
            do = getattr(module, ast.unparse(node.value.args[1]).split(".")[0])
            do = getattr(do, ast.unparse(node.value.args[1]).partition(".")[2], do)
            told = [one for one in _signed_arguments(do) if one != "return"]
            signs = [ast.literal_eval(one.value) for one in node.value.keywords if one.arg == "signs"]
            if told != signs:
                unsigned.append((ast.unparse(node.targets[0]), told, signs))
            elif signs:
                signing.add(ast.unparse(node.targets[0]))
    assert unsigned == [("change_house_values", ["change"], [])], "the house's usual initials are nobody's signature"
    assert signing >= {"keep_graded", "keep_decision", "mend_photo", "keep_standard", "make_case", "keep_call"}


LOGGED_IN = Actor(name="ben@quayside.example", roles=frozenset({Role.QUALITY}))


def test_a_standard_is_kept_in_the_name_of_who_logged_in(tmp_path: Path) -> None:
    typed = Signed(by="ZZ", at=datetime(2026, 5, 4, 12, 0, tzinfo=UTC), why="the first")
    standard = load_shipped()["strips-9.5mm-skin-on"]
    kept = MODULES["standards"].keep_standard(LOGGED_IN, tmp_path, "house", standard, typed, succeeds=False)
    assert (kept.signed.by, kept.signed.why) == ("ben@quayside.example", "the first")
    assert load_kept(tmp_path, "house")[-1].signed.by == "ben@quayside.example"


def test_a_batch_is_kept_in_the_name_of_who_logged_in(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Setting] = []
    plates = MODULES["plates"]
    monkeypatch.setattr(plates, "BatchKeeper", lambda **told: seen.append(told["setting"]))
    for who in (LOGGED_IN, HOUSE):
        plates.batch_keeper(who, None, Setting(kitchen="Quayside", by="ZZ"), None, [])
    assert [one.by for one in seen] == ["ben@quayside.example", "ZZ"]


def test_a_logins_name_is_not_remembered_as_the_houses_initials(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    keep_house_values(HouseValues(kitchen="Quayside", zone="Europe/Lisbon", by="AB"))
    MODULES["house"].remember_place(LOGGED_IN, HouseValues(kitchen="Quayside", shift="late", by="ben"))
    assert (house_values().by, house_values().shift) == ("AB", "late")


def test_a_cook_may_remember_the_place_and_nothing_else_of_the_house(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    keep_house_values(HouseValues(kitchen="Quayside", zone="Europe/Lisbon", lift_from_s=30.0))
    told = HouseValues(kitchen="Quayside", zone="Europe/Lisbon", shift="late", lift_from_s=1.0, price_a_kg=9.0)
    MODULES["house"].remember_place(COOK, told)
    kept = house_values()
    assert (kept.shift, kept.lift_from_s, kept.price_a_kg) == ("late", 30.0, None)
    with pytest.raises(NotAllowed):
        MODULES["house"].change_house_values(COOK, lambda _: told)
    assert house_values() == kept


def test_a_mended_plate_is_kept_only_by_who_may_mend() -> None:
    class Mended:
        mending = object()

    class AsFound:
        mending = None

    keep, setting = MODULES["plates"].batch_keeper, Setting(kitchen="Quayside")
    keep(COOK, None, setting, None, [AsFound()])
    with pytest.raises(NotAllowed, match=Duty.MENDING.value):
        keep(COOK, None, setting, None, [AsFound(), Mended()])
