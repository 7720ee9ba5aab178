"""The form of a comparison as JSON, as a JSON Schema (draft 2020-12)."""

from __future__ import annotations

from matrixmap.compare.items.item import Part, Section
from matrixmap.compare.layouts import Status
from matrixmap.compare.sides.outcomes import Does
from matrixmap.form.comparison_json import VERSION
from matrixmap.model.finding import Severity
from matrixmap.model.words import json_text
from matrixmap.press.rules import Cause

Schema = dict[str, object]

TEXT: Schema = {"type": "string"}
COUNT: Schema = {"type": "integer", "minimum": 0}
TRUTH: Schema = {"type": "boolean"}
ANY_VALUE = "#/$defs/value"


def _maybe(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _list(schema: Schema) -> Schema:
    return {"type": "array", "items": schema}


def _one_of(words: list[str]) -> Schema:
    return {"enum": words}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _object(description: str, optional: tuple[str, ...] = (), /, **fields: Schema) -> Schema:
    return {
        "description": description,
        "type": "object",
        "properties": fields,
        "required": [name for name in fields if name not in optional],
        "additionalProperties": False,
    }


def schema_text() -> str:
    """The schema as JSON text."""
    return json_text(comparison_schema()) + "\n"


def comparison_schema() -> Schema:
    """The schema of a comparison."""
    whole = _object(
        "what changed between two sides",
        version={"const": VERSION},
        old=TEXT,
        new=TEXT,
        theirs=_maybe(TEXT),
        headline=TEXT,
        breaking=COUNT,
        layouts=_list(_ref("layout")),
        loose=_list(_ref("loose_file")),
        clashes=_list(_ref("clash")),
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "matrixmap comparison",
        **whole,
        "$defs": {**_layout_parts(), **_change_parts(), **_finding_parts()},
    }


def _layout_parts() -> dict[str, Schema]:
    return {
        "layout": _object(
            "a layout on both sides",
            layout={**_maybe(TEXT), "description": "its id in the new files; null where it is gone"},
            old_layout={**_maybe(TEXT), "description": "its id in the old files; null where it is new"},
            status=_one_of([status.value for status in Status]),
            breaking=COUNT,
            files={**_list(TEXT), "description": "the files that changed"},
            reach=_object("how many characters and functions can be typed", before=COUNT, after=COUNT),
            lost=_list(TEXT),
            gained=_list(TEXT),
            items=_list(_ref("item")),
            presses=_list(_ref("press")),
            changes=_ref("changes"),
            sibling={**_maybe(TEXT), "description": "for a new layout: an older one whose findings are no news"},
            findings=_ref("findings"),
            code=_maybe(_ref("code")),
            old_faults=_list(_ref("finding")),
            new_faults=_list(_ref("finding")),
        ),
        "code": _object(
            "the C table: its size, and the lines of C that went (-) and came (+)",
            old_bytes=_maybe(COUNT),
            new_bytes=_maybe(COUNT),
            lines=_list(TEXT),
            fault={**_maybe(TEXT), "description": "why no table can hold the new layout"},
        ),
        "loose_file": _object(
            "a file that changed and that no layout uses",
            file=TEXT,
            change=_one_of(["added", "removed", "changed"]),
            findings=_list(_ref("finding")),
        ),
        "clash": _object(
            "a fact that both branches changed, each in its own way",
            layout=TEXT,
            fact=_ref("fact"),
            subject=TEXT,
            before=TEXT,
            here=TEXT,
            there=TEXT,
        ),
    }


def _change_parts() -> dict[str, Schema]:
    return {
        "value": {
            "description": "a text, number, truth or nothing, or a list of values",
            "anyOf": [{"type": ["string", "number", "boolean", "null"]}, _list({"$ref": ANY_VALUE})],
        },
        "fact": {
            "description": "the kind of a fact, then what it is about",
            **_list({"$ref": ANY_VALUE}),
            "minItems": 1,
        },
        "changes": _object(
            "replace the names in the old facts, then set or take out facts: that gives the new ones",
            renames=_list(
                _object(
                    "a name that changed", kind=_one_of(["key", "modifier", "line", "controller"]), old=TEXT, new=TEXT
                )
            ),
            facts=_list(
                _object(
                    "a fact that came (no old), went (no new) or has another value",
                    ("old", "new"),
                    fact=_ref("fact"),
                    old={"$ref": ANY_VALUE},
                    new={"$ref": ANY_VALUE},
                )
            ),
        ),
        "item": _object(
            "one thing that changed, in words",
            part=_one_of([part.value for part in Part]),
            section=_one_of([section.value for section in Section]),
            breaking=TRUTH,
            text=TEXT,
            file=_maybe(TEXT),
            line=_maybe(COUNT),
            facts=_list(_ref("fact")),
        ),
        **_press_parts(),
    }


def _press_parts() -> dict[str, Schema]:
    return {
        "press": _object(
            "a press that does something else than before",
            triggers={
                **_list(_list(TEXT)),
                "description": "alike ones; each is one press, or a dead key and the next key",
            },
            hold={
                **_list(TEXT),
                "description": "modifier keys to hold for the last press, without those of which the other side does as well",
            },
            on={**_list(TEXT), "description": "the lock key that was pressed before"},
            kind=_one_of(["added", "removed", "changed"]),
            breaking=TRUTH,
            before=_ref("outcome"),
            after=_ref("outcome"),
            accent=_maybe(TEXT),
        ),
        "outcome": _object(
            "what a press does",
            does=_one_of([kind.value for kind in Does]),
            text=TEXT,
            also={**_list(TEXT), "description": "further keys that the machine then reads"},
            waiting={**TEXT, "description": "the dead key that is pending after a press that follows another one"},
            cause={**_maybe(_one_of([cause.value for cause in Cause])), "description": "why the stroke is refused"},
        ),
    }


def _finding_parts() -> dict[str, Schema]:
    pair = _object("a finding before and after", before=_ref("finding"), after=_ref("finding"))
    return {
        "finding": _object(
            "a finding, as in the report of a check",
            slug=TEXT,
            severity=_one_of([severity.word for severity in Severity]),
            file=_maybe(TEXT),
            line=_maybe(COUNT),
            column=_maybe(COUNT),
            text=TEXT,
            count=COUNT,
        ),
        "findings": _object(
            "what happened to the findings",
            new=_list(_ref("finding")),
            gone=_list(_ref("finding")),
            grown=_list(pair),
            shrunk=_list(pair),
            accepted=_list(_ref("finding")),
            exposed=_list(_ref("finding")),
            unchanged=COUNT,
        ),
    }
