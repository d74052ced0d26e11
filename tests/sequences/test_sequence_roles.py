"""Roles that findings read: a misspelt one is told, and one of the user's own is welcome."""

import json
import re
from pathlib import Path

import pytest

import sequences
from player.cli import run
from readings.findings import FINDINGS
from sequences import SequenceError
from sequences.roles import remarks

PAGE = Path(__file__).parents[2] / "docs" / "sequences.md"


def text(finds: str, *roles: str, read: str = "luminance") -> str:
    """Give a sequence of grey fields with these roles; the first stands on line 5."""
    step = "  - {{show: {{field: {{}}}}, read: {}, role: {}}}\n"
    reads = {"adjusting": "{adjust: [preset]}"}  # which has a role of its own
    steps = "".join(step.format(reads.get(role, read), role) for role in roles)
    return f"title: Lobby wall\nsignal: sdr8\nfinds: [{finds}]\nsteps:\n{steps}"


def problems(written: str) -> list[str]:
    with pytest.raises(SequenceError) as raised:
        sequences.load_text(written, "f", FINDINGS)
    return str(raised.value).splitlines()


def test_a_finding_whose_role_is_misspelt_is_told_with_what_was_meant_and_where():
    (told,) = problems(text("contrast", "white", "blck"))
    assert told == (
        "f:3:9: found finds: contrast, but no step that is read has the role black; expected white "
        "and black or lit and dark (did you mean black for blck on line 6?)"
    )
    (told,) = problems(text("contrast", "whiet", "blck"))
    assert told == (
        "f:3:9: found finds: contrast, but no step that is read has the roles white and black; "
        "expected white and black or lit and dark (did you mean white for whiet on line 5 and "
        "black for blck on line 6?)"
    )


def test_each_finding_that_lacks_its_roles_is_told_at_its_own_place():
    told = problems(text("tone, contrast, zones", "lit", "dakr"))
    assert [line.partition(", but")[0] for line in told] == [
        "f:3:9: found finds: tone",
        "f:3:15: found finds: contrast",
        "f:3:25: found finds: zones",
    ]
    assert told[0].endswith("has a role that it reads; expected grey")
    assert "did you mean dark for dakr on line 6?" in told[1]


def test_a_role_counts_only_where_something_is_read():
    assert (
        "no step that is read has the role black; expected"
        in problems(text("contrast", "white") + "  - {show: {field: {}}, role: black}\n")[0]
    )


def test_other_mistakes_of_a_step_are_told_alone_since_it_may_have_had_the_role():
    (told,) = problems(text("contrast", "white", "black").replace("luminance", "lumen", 1))
    assert "unknown quantity 'lumen'" in told


@pytest.mark.parametrize("finding", FINDINGS)
def test_every_way_of_a_finding_is_enough_and_any_of_it_left_out_is_not(finding: str):
    for way in FINDINGS[finding].ways():
        assert sequences.load_text(text(finding, *way), "f", FINDINGS).finds == (finding,)
        for left_out in way:
            rest = [role for role in way if role != left_out] or ["own"]
            assert f"finds: {finding}, but" in problems(text(finding, *rest))[0]


@pytest.mark.parametrize("show", ["moving-box: {}", "comb: {zones: 4}"])
def test_zones_are_counted_whatever_the_role(show: str):
    quantity = "tally" if show.startswith("moving") else "count"
    written = text("zones", "own", read=quantity)
    with pytest.raises(SequenceError):
        sequences.load_text(written, "f", FINDINGS)
    assert sequences.load_text(written.replace("field: {}", show), "f", FINDINGS).finds == (
        "zones",
    )


def test_a_finding_that_there_is_none_of_is_told_at_its_place_with_what_was_meant():
    (told,) = problems(text("contrasts", "white", "black"))
    assert told.startswith(
        "f:3:9: found the finding 'contrasts'; expected adjustment, box-contrast, "
    )
    assert told.endswith("(did you mean contrast?)")


def test_without_findings_to_hold_them_against_names_are_kept_as_they_are():
    assert sequences.load_text(text("glow", "own"), "f").finds == ("glow",)


def test_no_shipped_sequence_is_said_to_have_a_slip():
    for name in sequences.shipped():
        assert not [
            each
            for each in remarks(sequences.load(name, FINDINGS).steps, FINDINGS)
            if "did you mean" in each
        ]


def test_check_remarks_on_a_likely_slip_and_on_own_roles_and_lists_the_role_of_every_step(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "lobby.yaml"
    path.write_text(text("plausibility", "whiet", "gray", "door", "left wing", "white"), "utf-8")
    assert run(["check", str(path), "--json"]) == 0
    (told,) = json.loads(capfd.readouterr().out)
    assert told["remarks"] == [
        "Step 1: no finding looks for the role whiet (did you mean white?).",
        "Step 2: no finding looks for the role gray (did you mean grey?).",
        "No finding looks for the role door or left wing: yours to mark readings with.",
    ]
    assert run(["check", str(path)]) == 0
    shown = capfd.readouterr().out
    assert re.search(r"read +role +settle", shown)
    assert re.search(r"luminance +left wing +3 s", shown)
    path.write_text(text("plausibility", "white").replace(", role: white", ""), "utf-8")
    assert run(["check", str(path)]) == 0
    assert "role" not in capfd.readouterr().out
