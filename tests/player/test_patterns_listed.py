"""``litfield patterns``: what is shown as a default can be written into a sequence."""

from __future__ import annotations

import json

import pytest

import sequences
from patterns.kinds import KINDS
from player.cli import run


def listed(kind: str, capfd: pytest.CaptureFixture[str]) -> dict[str, str]:
    """The defaults as shown, by parameter."""
    assert run(["patterns", kind, "--json"]) == 0
    told = json.loads(capfd.readouterr().out)[kind]["parameters"]
    return {name: parameter["default"] for name, parameter in told.items()}


def test_a_window_shows_that_clip_is_false(capfd: pytest.CaptureFixture[str]) -> None:
    assert listed("window", capfd)["clip"] == "false"
    assert run(["patterns", "window"]) == 0
    shown = [line.split() for line in capfd.readouterr().out.splitlines()]
    assert [line[:2] for line in shown if line[:1] == ["clip"]] == [["clip", "false"]]


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_shown_for_yes_or_no_can_be_written(
    kind: str, capfd: pytest.CaptureFixture[str]
) -> None:
    """YAML 1.2, section 10.2.1.2 (from memory): true and false; yes and no are texts."""
    defaults = {name: info.default for name, info in KINDS[kind].model_fields.items()}
    switches = {name for name, default in defaults.items() if isinstance(default, bool)}
    shown = listed(kind, capfd)
    written = ", ".join(f"{name}: {shown[name]}" for name in sorted(switches))
    signal = KINDS[kind].usual_signal("sdr8", "pq10").name
    text = f"title: x\nsignal: {signal}\nsteps:\n  - show: {{{kind}: {{{written}}}}}\n"
    (step,) = sequences.load_text(text, "f.yaml").steps
    assert "clip" in switches
    assert {name: getattr(step.pattern, name) for name in switches} == {
        name: defaults[name] for name in switches
    }
