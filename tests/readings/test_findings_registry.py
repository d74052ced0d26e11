"""A finding is whole: everything that is asked of each is stated with it, and nowhere else."""

import inspect
from importlib import import_module
from pathlib import Path

import pytest

from patterns.quantity import QUANTITIES
from readings.findings import FINDINGS
from readings.findings.kind import FindingKind
from readings.report.pictures import BESIDE, PICTURES

STATED = ("name", "subject", "reads", "limits", "pictures", "changing")
"""What each has to say itself, if only that there is none."""
ROOMS = Path(__file__).parents[2]


def missing(kind: FindingKind) -> list[str]:
    """What a finding does not say."""
    own = vars(type(kind))
    return [each for each in STATED if each not in own or own[each] == ""]


@pytest.mark.parametrize("name", FINDINGS)
def test_every_finding_states_all_that_is_asked_of_it(name: str):
    kind = FINDINGS[name]
    assert missing(kind) == []
    assert kind.name == name
    assert kind.reads, f"{name} reads nothing"
    assert not kind.subject.endswith("."), "the subject is a part of a sentence"


def test_a_finding_without_its_subject_or_its_limits_is_found_out():
    whole = FINDINGS["contrast"]
    for lacking in STATED:
        stated = {name: vars(type(whole))[name] for name in STATED if name != lacking}
        half = type("Half", (FindingKind,), {**stated, "work_out": lambda _, __: []})()
        assert missing(half) == [lacking]


@pytest.mark.parametrize("name", FINDINGS)
def test_every_finding_stands_alone_in_a_file_of_its_own(name: str):
    file = inspect.getfile(type(FINDINGS[name]))
    alone = [each for each in FINDINGS.values() if inspect.getfile(type(each)) == file]
    assert [each.name for each in alone] == [name]


def test_every_picture_that_a_finding_names_can_be_drawn_and_has_a_first_choice():
    for kind in FINDINGS.values():
        for name in (*(each.picture for each in kind.pictures), *kind.pictures_beside):
            assert callable(import_module(f"readings.report.pictures.{name}").draw)
        assert {each.picture for each in kind.pictures} <= PICTURES.keys()
    assert set(BESIDE) == {name for kind in FINDINGS.values() for name in kind.pictures_beside}


def test_every_limit_of_a_finding_is_of_a_value_that_its_page_lists():
    pages = "".join(p.read_text("utf-8") for p in (ROOMS / "docs").glob("findings*.md"))
    for kind in FINDINGS.values():
        for limit in kind.limits:
            assert [name for name in limit.values if f"`{name}`" not in pages] == []


def test_what_is_read_to_be_seen_changing_is_a_role_of_the_finding_that_says_so():
    for kind in FINDINGS.values():
        assert kind.changing <= kind.roles(), kind.name
    assert FINDINGS["over-time"].changing == {"over-time", "warm-up"}


def test_no_other_file_of_the_report_knows_a_finding_by_its_name():
    # a quantity of the grammar is called `colour` too
    known = {f'"{name}"' for name in FINDINGS.keys() - set(QUANTITIES)}
    spoken = [
        f"{path.name}: {name}"
        for path in (ROOMS / "readings" / "report").rglob("*.py")
        if path.parent.name != "pictures"  # a picture knows the series that it is drawn of
        for name in known
        if name in path.read_text("utf-8")
    ]
    assert spoken == []
