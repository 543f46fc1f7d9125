"""A job file's JSON Schema, made from what the calculators and the sheet declare."""

from collections.abc import Callable, Container
from typing import Any

from calculators.declaring import (
    Bands,
    Choice,
    CurveText,
    Day,
    Exact,
    File,
    Flag,
    InputField,
    Number,
    Rows,
    Text,
)
from calculators.declaring.inputs import BAND_COUNT, Kind
from calculators.job.by_file import PARTS, SUM
from calculators.job.reading import LONGEST_RUN_NAME, LONGEST_TEXT, MOST_RUNS, NAME
from calculators.job.sheet import FIELDS, VERSION
from calculators.stages import every_calculator

type Schema = dict[str, Any]

REFERENCE: Schema = {"type": "string", "pattern": "^(job|run):"}
RUN_NAME: Schema = {
    "type": "string",
    "maxLength": LONGEST_RUN_NAME,
    "pattern": r"^[^\u0000-\u0060\u007b-\u00a0][^\u0000-\u002c\u002e\u002f\u003a-\u0060\u007b-\u00a0]*$",
}
"""Which letters other alphabets have, no pattern says that all readers of a schema know: the reader asks."""

FILE_MARK: Schema = {
    "type": "object",
    "required": sorted(PARTS),
    "additionalProperties": False,
    "properties": {
        "name": {"type": "string", "maxLength": LONGEST_TEXT},
        "size": {"type": "integer", "minimum": 0},
        "sum": {"type": "string", "pattern": f"^{SUM.pattern}$"},
    },
}
"""A file is not in a job: its name, how many bytes it has, and their CRC-32."""


def job_schema(slugs: Container[str] | None = None) -> Schema:
    """JSON Schema 2020-12 of a job file of today's form, with runs of all calculators or of some."""
    runs = [
        run_schema(one.slug, one.inputs) for one in every_calculator() if slugs is None or one.slug in slugs
    ]
    sheet = {field.name: schema_of(field) for field in FIELDS} | {
        "version": {"const": VERSION},
        "runs": {
            "type": "array",
            "maxItems": MOST_RUNS,
            "items": {"oneOf": runs},
        },
        "proof": {"type": "array", "maxItems": MOST_RUNS, "items": PROOF},
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Job",
        "type": "object",
        "required": ["sheet"],
        "propertyNames": {"pattern": f"^{NAME.pattern}$"},
        "properties": {
            "sheet": {
                "type": "object",
                "required": ["version", "title"],
                "additionalProperties": False,
                "properties": sheet,
            }
        },
        "additionalProperties": True,
    }


NUMBER_OR_REFERENCE: Schema = {"anyOf": [{"type": ["number", "null"]}, REFERENCE]}
PROOF: Schema = {
    "type": "object",
    "required": ["name"],
    "additionalProperties": False,
    "properties": {
        "name": {"type": "string"},
        "unit": {"type": "string"},
        "measured": NUMBER_OR_REFERENCE,
        "least": NUMBER_OR_REFERENCE,
        "most": NUMBER_OR_REFERENCE,
    },
}


def run_schema(slug: str, inputs: tuple[InputField, ...]) -> Schema:
    """A run of one calculator: its inputs, each a value or the name of a fact or an answer."""
    return {
        "type": "object",
        "required": ["name", "calculator", "inputs"],
        "additionalProperties": False,
        "properties": {
            "name": RUN_NAME,
            "calculator": {"const": slug},
            "inputs": {
                "type": "object",
                "additionalProperties": False,
                "properties": {entry.name: {"anyOf": [schema_of(entry), REFERENCE]} for entry in inputs},
            },
            "answer": {"type": "object", "required": ["inputs"]},
        },
    }


def schema_of(entry: InputField) -> Schema:
    """The schema of one input's values."""
    return SCHEMAS[type(entry.kind)](entry.kind)


def _number(kind: Number) -> Schema:
    ends: Schema = {"type": "number", "minimum": kind.low, "maximum": kind.high}
    if kind.options:
        ends = {"enum": [size for _, size in kind.options]}
    return {"anyOf": [ends, {"type": "null"}]} if kind.optional else ends


def _rows(kind: Rows) -> Schema:
    return {
        "type": "array",
        "minItems": kind.at_least,
        "maxItems": kind.at_most,
        "items": {
            "type": "object",
            "additionalProperties": False,
            "required": [column.name for column in kind.columns if column.required],
            "properties": {column.name: {"anyOf": [schema_of(column), REFERENCE]} for column in kind.columns},
        },
    }


def _exact(kind: Exact) -> Schema:
    return {"type": ["string", "number", "null"] if kind.optional else ["string", "number"]}


SCHEMAS: dict[type[Kind], Callable[[Any], Schema]] = {
    Number: _number,
    Choice: lambda kind: {"enum": list(kind.options)},
    Flag: lambda kind: {"type": "boolean"},
    Text: lambda kind: {"type": "string", "maxLength": min(kind.longest, LONGEST_TEXT)},
    Day: lambda kind: {"type": "string", "pattern": r"^(\d{4}-\d\d-\d\d)?$"},
    Exact: _exact,
    Rows: _rows,
    Bands: lambda kind: {
        "type": "array",
        "minItems": BAND_COUNT,
        "maxItems": BAND_COUNT,
        "items": {"type": "number"},
    },
    CurveText: lambda kind: {"type": ["object", "null"] if getattr(kind, "optional", False) else "object"},
    File: lambda kind: {"anyOf": [FILE_MARK, {"type": "null"}]},
}
"""How the values of each kind of input look in a job file."""
