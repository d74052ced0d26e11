"""What may stand in a plan: the keys of the file and of a task."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from sequences.grammar import Line, Rank
from sequences.plans.model import KINDS, NEEDS, Need, Role, Shown

LONGEST_MINUTES = 24 * 60
MOST_TASKS = 500

Minutes = Annotated[float, Field(gt=0, le=LONGEST_MINUTES)]
Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]{0,59}$")]
ONE_OF = tuple(KINDS)
"""The keys that say what is to be done: a task has exactly one of them."""
BELONGS = {
    "condition": ("play", "adjust"),
    "instrument": ("play", "adjust"),
    "output": ("play",),
    "name": ("ask",),
    "choices": ("ask",),
}
"""Keys that go with some of those only."""


class PlanHead(BaseModel):
    """The keys of the file. ``aim`` and ``tasks`` are looked at more closely elsewhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    title: Line = Field(description="what the sitting is for, in one line")
    minutes: Minutes | None = Field(None, description="the time that there is")
    aim: Any = Field(None, description="what the display is meant to do, for the whole sitting")
    tasks: Annotated[list[Any], Field(min_length=1, max_length=MOST_TASKS)] = Field(
        description="what is done, in order"
    )


class TaskKeys(BaseModel):
    """The keys of a task. ``choices`` and ``only_if`` are looked at more closely elsewhere."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    play: Line | None = Field(
        None, description="a sequence: a shipped name, or a path from the plan's folder"
    )
    adjust: Name | None = Field(
        None, description="controls of the display to adjust: a shipped adjustment's name"
    )
    tell: Line | None = Field(None, description="something that the person has to do")
    ask: Line | None = Field(None, description="a question whose answer is kept")
    note: Line | None = Field(None, description="something to write down about what is seen")
    condition: Line | None = Field(
        None, description="play and adjust: what is set, such as local dimming off"
    )
    instrument: Role = Field("spot meter", description="play and adjust: what reads it")
    output: Shown = Field("window", description="play: what shows it; files by a media player")
    name: Name | None = Field(None, description="ask: by which only_if knows the answer")
    choices: Any = Field(None, description="ask: the answers; without them the answer is free")
    label: Line | None = Field(None, description="what the operator sees")
    minutes: Minutes | None = Field(
        None, description="how long it takes; of play worked out from its steps, else 1"
    )
    importance: Rank = Field("usual", description="what is left out first where time runs short")
    only_if: Any = Field(
        None, description="answers to earlier questions with which this task is there"
    )
    needs: list[Annotated[Need, WithJsonSchema({"enum": list(NEEDS)})]] = Field(
        [], description="what has to be at hand"
    )
