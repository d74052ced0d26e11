"""The JSON Schema of a plan, for editors that complete and check YAML."""

from __future__ import annotations

from sequences.grammar import AimParts
from sequences.json_schema import DIALECT, Json, model_schema
from sequences.loading import shipped
from sequences.plans.grammar import ONE_OF, PlanHead, TaskKeys
from sequences.plans.tasks import adjustments
from sequences.reads import MOST_CHOICES


def schema() -> Json:
    """The schema (2020-12) of a plan file.

    What a schema cannot say is left to loading: that a file is there, that a question stands before
    what hangs on it, which keys go together.
    """
    definitions: Json = {}
    head = model_schema(PlanHead, definitions)
    task = model_schema(TaskKeys, definitions)
    definitions["aim"] = model_schema(AimParts, definitions)
    definitions["task"] = task
    text = {"type": "string", "minLength": 1}
    head["properties"]["aim"] |= {"$ref": "#/$defs/aim"}
    head["properties"]["tasks"] |= {"items": {"$ref": "#/$defs/task"}}
    keys = task["properties"]
    keys["play"] |= {"examples": list(shipped())}
    keys["adjust"] |= {"enum": adjustments()}
    keys["choices"] |= {
        "type": "array",
        "minItems": 2,
        "maxItems": MOST_CHOICES,
        "uniqueItems": True,
        "items": text,
    }
    keys["only_if"] |= {
        "type": "object",
        "minProperties": 1,
        "additionalProperties": {"anyOf": [text, {"type": "array", "minItems": 1, "items": text}]},
    }
    task["anyOf"] = [{"required": [name]} for name in ONE_OF]
    head["title"] = "Litfield plan"
    head["$schema"] = DIALECT
    head["$defs"] = definitions
    return head
