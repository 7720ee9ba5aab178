"""The JSON Schema of the report of a check."""

from __future__ import annotations

Schema = dict[str, object]

TEXT: Schema = {"type": "string"}
COUNT: Schema = {"type": "integer", "minimum": 0}
FLAG: Schema = {"type": "boolean"}


def findings_schema() -> Schema:
    """The schema, in JSON Schema 2020-12, of what `matrixmap check --format json` prints."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The report of matrixmap check",
        "description": "What can go wrong with layouts: for each a verdict and findings, the worst first.",
        **_closed({"tool": {"const": "matrixmap"}, "version": TEXT, "layouts": _list({"$ref": "#/$defs/layout"})}),
        "$defs": {
            "layout": {
                "description": "A layout that was checked, or one that could not be read (read is false).",
                "oneOf": [_read_layout(), _unread_layout()],
            },
            "finding": _finding(),
            "witness": _witness(),
            "verdict": _verdict(),
        },
    }


def _closed(properties: Schema, optional: tuple[str, ...] = ()) -> Schema:
    """An object with these properties and no others."""
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


def _said(schema: Schema, description: str) -> Schema:
    return {**schema, "description": description}


def _read_layout() -> Schema:
    findings = _list({"$ref": "#/$defs/finding"})
    return _closed(
        {
            "layout": _said(TEXT, "the id"),
            "read": {"const": True},
            "title": TEXT,
            "machine": _said(TEXT, "the id of the machine"),
            "host": _said(TEXT, "the id of the host"),
            "verdict": {"$ref": "#/$defs/verdict"},
            "findings": findings,
            "accepted": _said(findings, "findings that the layout accepts, each with the reason"),
        }
    )


def _unread_layout() -> Schema:
    return _closed(
        {
            "layout": _said(TEXT, "the name as asked for"),
            "read": {"const": False},
            "findings": _said(_list({"$ref": "#/$defs/finding"}), "the findings of reading"),
            "accepted": {"type": "array", "maxItems": 0},
        }
    )


def _finding() -> Schema:
    number: Schema = {"type": ["integer", "null"], "minimum": 1}
    return _closed(
        {
            "slug": _said({"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$"}, "the rule"),
            "severity": {"enum": ["error", "warning", "note"]},
            "file": {"type": ["string", "null"]},
            "line": number,
            "column": _said(number, "in code points, from 1"),
            "text": TEXT,
            "count": _said({"type": "integer", "minimum": 1}, "how many cases the finding stands for"),
            "witness": {"$ref": "#/$defs/witness"},
            "reason": _said(TEXT, "why the layout accepts it"),
        },
        optional=("witness", "reason"),
    )


def _witness() -> Schema:
    names = _list(TEXT)
    return _said(
        _closed(
            {
                "events": _said(names, "what to do in order: `down` or `up` and the key by its W3C code"),
                "printed": _said(names, "the presses whose keys stay down, the oldest first, as printed on the host"),
                "switches": _said(
                    _list({"type": "array", "items": TEXT, "minItems": 2, "maxItems": 2}), "of controllers"
                ),
                "closed": _said(names, "contacts that this closes without the guard, by their lines"),
                "phantoms": _said(names, "crosspoints that the machine reads besides"),
                "unseen": _said(names, "closed contacts whose opening the machine does not see"),
            }
        ),
        "the smallest case that shows the finding",
    )


def _stand_in() -> Schema:
    key: Schema = {
        "key": _said(TEXT, "the key by its print"),
        "types": _said(_list(TEXT), "what it types in place of that, level by level"),
    }
    return _closed(
        {
            "host": _said({"type": ["string", "null"]}, "the second host, null without one"),
            "keys": _said(_list(_closed(key)), "the keys on which it stands in"),
        }
    )


def _overlaps(counts_fields: dict[str, object]) -> Schema:
    return _said(
        _closed(
            {
                "by_held": _list(
                    _closed({"held": _said({"type": ["string", "null"]}, "the key, null for none"), **counts_fields})
                ),
                **counts_fields,
            }
        ),
        "pairs of keys that overlap: by the modifier key held meanwhile, and with some set of them",
    )


def _practice() -> Schema:
    return _closed(
        {
            "family": _said(TEXT, "the kind of combination"),
            "press": TEXT,
            "reads": _said({"type": ["string", "null"]}, "what the bare matrix reads besides"),
            "kept": _said(_list(FLAG), "whether the runtime leaves each press closed, the oldest first"),
            "refused": _list(FLAG),
            "witness": {"$ref": "#/$defs/witness"},
        }
    )


def _verdict() -> Schema:
    names = _list(TEXT)
    counts_fields: dict[str, object] = {"all": COUNT, "bare": _said(COUNT, "that make a phantom on the bare matrix")}
    guarded = _closed(
        {
            "all": COUNT,
            "bare": _said(COUNT, "that make a phantom on the bare matrix"),
            "guarded": _said(
                {"type": ["integer", "null"], "minimum": 0}, "that do with the guard on, null where it is off"
            ),
        }
    )
    modifiers = _closed(
        {
            "press": TEXT,
            "strokes": _said(COUNT, "that let these modifiers pass"),
            "bare": _said(COUNT, "of these that make a phantom"),
            "alone": _said(FLAG, "whether the modifiers alone make one"),
        }
    )
    return _closed(
        {
            "unreachable": _closed({"keys": names, "characters": names, "functions": names}),
            "stand_in": _stand_in(),
            "guard": FLAG,
            "rollover": {"type": ["integer", "null"], "minimum": 1},
            "strokes": _said(
                _closed({**counts_fields, "refused": _said(COUNT, "that the runtime never closes")}), "one press"
            ),
            "held": _said(
                _closed(
                    {**counts_fields, "lost": _said(COUNT, "of these that make a phantom, not closed by the runtime")}
                ),
                "one press with more modifiers held",
            ),
            "pairs": _said(guarded, "two host keys that can be closed together"),
            "triples": _said(guarded, "three host keys that can be closed together"),
            "overlaps": _overlaps(counts_fields),
            "one_side": _said(
                _list(_closed({"types": TEXT, "press": TEXT})), "what is typed with one side of a modifier only"
            ),
            "modifiers": _list(modifiers),
            "practice": _list(_practice()),
        }
    )
