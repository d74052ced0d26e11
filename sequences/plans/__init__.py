"""Plans: the tasks of one sitting, as YAML."""

from __future__ import annotations

from typing import Any

from sequences.plans.loading import is_plan, load_plan, load_plan_text, shipped_plans
from sequences.plans.model import Plan, Task


def schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of a plan file; see `sequences.plans.json_schema`."""
    from sequences.plans.json_schema import schema as made  # only editors ask for it

    return made()


__all__ = ["Plan", "Task", "is_plan", "load_plan", "load_plan_text", "schema", "shipped_plans"]
