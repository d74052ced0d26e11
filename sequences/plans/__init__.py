"""Plans: the tasks of one sitting, as YAML."""

from __future__ import annotations

from sequences.plans.loading import is_plan, load_plan, load_plan_text, shipped_plans
from sequences.plans.model import Plan, Task

__all__ = ["Plan", "Task", "is_plan", "load_plan", "load_plan_text", "shipped_plans"]
