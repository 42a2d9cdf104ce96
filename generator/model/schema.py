"""The models as JSON Schema (draft 2020-12), so that an editor completes and explains a workshop's files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from generator.model.base import UNKNOWN, Part
from generator.model.job import Job
from generator.model.machine import Machine
from generator.model.workshop import Workshop

_MODELS: dict[str, type[Part]] = {"machine": Machine, "job": Job, "workshop": Workshop}


def schemas() -> dict[str, dict[str, Any]]:
    """One schema for each kind of file: machine, job, workshop."""
    return {name: _schema(model) for name, model in _MODELS.items()}


def write_schemas(folder: Path) -> None:
    """Writes NAME.schema.json into `folder`, which exists."""
    for name, schema in schemas().items():
        text = json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
        (folder / f"{name}.schema.json").write_text(text, encoding="utf-8", newline="\n")


def _schema(model: type[Part]) -> dict[str, Any]:
    schema = model.model_json_schema()
    for group in [schema, *schema.get("$defs", {}).values()]:
        required = group.get("required", [])
        properties = group.get("properties", {})
        group["properties"] = {
            name: inner if name in required else _or_unknown(inner) for name, inner in properties.items()
        }
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _or_unknown(schema: dict[str, Any]) -> dict[str, Any]:
    """A setting that may be left out may also be `unknown` or empty."""
    words: dict[str, Any] = {key: schema.pop(key) for key in ("title", "description") if key in schema}
    schema.pop("default", None)
    choices = [choice for choice in schema.pop("anyOf", [schema]) if choice != {"type": "null"}]
    return {**words, "anyOf": [*choices, {"const": UNKNOWN}, {"type": "null"}]}
