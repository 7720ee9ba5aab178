"""The JSON Schema (draft 2020-12) of the report of a check."""

from __future__ import annotations

from matrixmap.model.finding import Severity
from matrixmap.model.layout import Contacts

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
        **closed(
            {
                "tool": {"const": "matrixmap"},
                "version": TEXT,
                "layouts": list_of({"$ref": "#/$defs/layout"}),
                "machines": list_of({"$ref": "#/$defs/machine"}),
            }
        ),
        "$defs": {
            "layout": {
                "description": "A layout that was checked, or one that could not be read (read is false).",
                "oneOf": [_read_layout(), _unread_layout()],
            },
            "machine": _checked_machine(),
            "finding": _finding(),
            "witness": _witness(),
            "verdict": _verdict(),
        },
    }


def closed(properties: Schema, optional: tuple[str, ...] = ()) -> Schema:
    """An object with exactly these properties."""
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


def list_of(items: Schema) -> Schema:
    """A list of things that each follow one schema."""
    return {"type": "array", "items": items}


def _said(schema: Schema, description: str) -> Schema:
    return {**schema, "description": description}


def _checked_machine() -> Schema:
    conflicts = closed(
        {
            "by_keys": _said(
                {**list_of(COUNT), "minItems": 4, "maxItems": 4},
                "sets of three contacts that make a phantom, by how many of them are no modifier's",
            ),
            "without_key": _said(COUNT, "sets of three contacts with a phantom where there is no key"),
            "masks": _said(COUNT, "rectangles of four contacts"),
            "pulls": _said(COUNT, "sets of contacts and switches of controllers that make a phantom"),
        }
    )
    return _said(
        closed(
            {
                "machine": _said(TEXT, "the id"),
                "title": TEXT,
                "contacts": _said({"enum": [how.value for how in Contacts]}, "how the adapter closes a contact"),
                "conflicts": conflicts,
                "findings": list_of({"$ref": "#/$defs/finding"}),
            }
        ),
        "a machine that was checked by itself",
    )


def _read_layout() -> Schema:
    findings = list_of({"$ref": "#/$defs/finding"})
    return closed(
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
    return closed(
        {
            "layout": _said(TEXT, "the name as asked for"),
            "read": {"const": False},
            "findings": _said(list_of({"$ref": "#/$defs/finding"}), "the findings of reading"),
            "accepted": {"type": "array", "maxItems": 0},
        }
    )


def finding_fields() -> Schema:
    """What every finding says, in a check or in a comparison."""
    number: Schema = {"type": ["integer", "null"], "minimum": 1}
    return {
        "slug": _said({"type": "string", "pattern": "^[a-z0-9]+(-[a-z0-9]+)*$"}, "the rule"),
        "severity": {"enum": [severity.word for severity in sorted(Severity, reverse=True)]},
        "file": {"type": ["string", "null"]},
        "line": number,
        "column": _said(number, "in code points, from 1"),
        "text": TEXT,
        "count": _said({"type": "integer", "minimum": 1}, "how many cases the finding stands for"),
    }


def _finding() -> Schema:
    return closed(
        {
            **finding_fields(),
            "witness": {"$ref": "#/$defs/witness"},
            "reason": _said(TEXT, "why the layout accepts it"),
        },
        optional=("witness", "reason"),
    )


def _witness() -> Schema:
    names = list_of(TEXT)
    return _said(
        closed(
            {
                "events": _said(names, "what to do in order: `down` or `up` and the key by its W3C code"),
                "printed": _said(
                    names, "the presses with keys that stay down, the oldest first, as printed on the host"
                ),
                "switches": _said(
                    list_of({"type": "array", "items": TEXT, "minItems": 2, "maxItems": 2}), "of controllers"
                ),
                "closed": _said(names, "contacts that this closes without the guard, by their lines"),
                "phantoms": _said(names, "crosspoints that the machine reads besides"),
                "unseen": _said(names, "closed contacts that could open unseen by the machine"),
            }
        ),
        "the smallest case that shows the finding",
    )


def _stand_in() -> Schema:
    key: Schema = {
        "key": _said(TEXT, "the key by its print"),
        "types": _said(list_of(TEXT), "what it types in place of that, level by level"),
    }
    return closed(
        {
            "host": _said({"type": ["string", "null"]}, "the second host, null without one"),
            "keys": _said(list_of(closed(key)), "the keys on which it stands in"),
        }
    )


def _overlaps(counts_fields: dict[str, object]) -> Schema:
    return _said(
        closed(
            {
                "by_held": list_of(
                    closed({"held": _said({"type": ["string", "null"]}, "the key, null for none"), **counts_fields})
                ),
                **counts_fields,
            }
        ),
        "pairs of keys that overlap: by the modifier key held meanwhile, and with some set of them",
    )


def _practice() -> Schema:
    return closed(
        {
            "family": _said(TEXT, "the kind of combination"),
            "press": TEXT,
            "reads": _said({"type": ["string", "null"]}, "what the bare matrix reads besides"),
            "kept": _said(list_of(FLAG), "whether the runtime leaves each press closed, the oldest first"),
            "refused": list_of(FLAG),
            "witness": {"$ref": "#/$defs/witness"},
        }
    )


def _printed() -> Schema:
    differs = closed(
        {
            "press": TEXT,
            "prints": TEXT,
            "does": _said(TEXT, "what it does, with the side of a modifier where that matters"),
        }
    )
    return _said(
        closed(
            {
                "right": _said(COUNT, "printed characters, key by key and level by level, that are typed as printed"),
                "differs": _said(list_of(differs), "those of the machine's characters that are not"),
                "lacking": _said(list_of(TEXT), "printed characters that the machine does not have"),
            }
        ),
        "what is printed on the host's keys, and whether that is typed",
    )


def _pace() -> Schema:
    times = closed(
        {name: {"type": ["integer", "null"], "minimum": 1} for name in ("other_us", "same_us", "shifted_us")}
    )
    return _said(
        times, "microseconds from one keystroke to the next in a long row, null where the layout has no such keys"
    )


def _verdict() -> Schema:
    names = list_of(TEXT)
    counts_fields: dict[str, object] = {"all": COUNT, "bare": _said(COUNT, "that make a phantom on the bare matrix")}
    guarded = closed(
        {
            "all": COUNT,
            "bare": _said(COUNT, "that make a phantom on the bare matrix"),
            "guarded": _said(
                {"type": ["integer", "null"], "minimum": 0}, "that do with the guard on, null where it is off"
            ),
        }
    )
    modifiers = closed(
        {
            "press": TEXT,
            "strokes": _said(COUNT, "that let these modifiers pass"),
            "bare": _said(COUNT, "of these that make a phantom"),
            "alone": _said(FLAG, "whether the modifiers alone make one"),
        }
    )
    return closed(
        {
            "unreachable": closed({"keys": names, "characters": names, "functions": names}),
            "stand_in": _stand_in(),
            "guard": FLAG,
            "rollover": {"type": ["integer", "null"], "minimum": 1},
            "pace": _pace(),
            "strokes": _said(
                closed({**counts_fields, "refused": _said(COUNT, "that the runtime never closes")}), "one press"
            ),
            "held": _said(
                closed(
                    {**counts_fields, "lost": _said(COUNT, "of these that make a phantom, not closed by the runtime")}
                ),
                "one press with more modifiers held",
            ),
            "pairs": _said(guarded, "two host keys that can be closed together"),
            "triples": _said(guarded, "three host keys that can be closed together"),
            "overlaps": _overlaps(counts_fields),
            "one_side": _said(
                list_of(closed({"types": TEXT, "press": TEXT})), "what is typed with one side of a modifier only"
            ),
            "modifiers": list_of(modifiers),
            "practice": list_of(_practice()),
            "printed": _printed(),
            "basic_keys": _said(
                closed({"all": COUNT, "dead": names}), "letters, digits, Space and their like; those that do nothing"
            ),
        }
    )
