"""The JSON Schemas (draft 2020-12) of the report of a check and of a comparison."""

from __future__ import annotations

from matrixmap.compare.gist import Step
from matrixmap.compare.items.item import Audience, Section
from matrixmap.compare.layouts import Status
from matrixmap.compare.sides.outcomes import Does
from matrixmap.form.as_json import VERSION
from matrixmap.model.finding import Severity
from matrixmap.model.layout import Contacts
from matrixmap.model.words import json_text
from matrixmap.press.rules import Cause

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
        **_closed(
            {
                "tool": {"const": "matrixmap"},
                "version": TEXT,
                "layouts": _list({"$ref": "#/$defs/layout"}),
                "machines": _list({"$ref": "#/$defs/machine"}),
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


def _checked_machine() -> Schema:
    conflicts = _closed(
        {
            "by_keys": _said(
                {**_list(COUNT), "minItems": 4, "maxItems": 4},
                "sets of three contacts that make a phantom, by how many of them are no modifier's",
            ),
            "without_key": _said(COUNT, "sets of three contacts whose phantom has no key"),
            "masks": _said(COUNT, "rectangles of four contacts"),
            "pulls": _said(COUNT, "sets of contacts and switches of controllers that make a phantom"),
        }
    )
    return _said(
        _closed(
            {
                "machine": _said(TEXT, "the id"),
                "title": TEXT,
                "contacts": _said({"enum": [how.value for how in Contacts]}, "how the adapter closes a contact"),
                "conflicts": conflicts,
                "findings": _list({"$ref": "#/$defs/finding"}),
            }
        ),
        "a machine that was checked by itself",
    )


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


def _finding_fields() -> Schema:
    """What every finding says, be it of a check or of a comparison."""
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
    return _closed(
        {
            **_finding_fields(),
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


def _printed() -> Schema:
    differs = _closed(
        {
            "press": TEXT,
            "prints": TEXT,
            "does": _said(TEXT, "what it does, with the side of a modifier where that matters"),
        }
    )
    return _said(
        _closed(
            {
                "right": _said(COUNT, "printed characters, key by key and level by level, that are typed as printed"),
                "differs": _said(_list(differs), "those of the machine's characters that are not"),
                "lacking": _said(_list(TEXT), "printed characters that the machine does not have"),
            }
        ),
        "what is printed on the host's keys, and whether that is typed",
    )


def _pace() -> Schema:
    times = _closed(
        {name: {"type": ["integer", "null"], "minimum": 1} for name in ("other_us", "same_us", "shifted_us")}
    )
    return _said(
        times, "microseconds from one keystroke to the next in a long row, null where the layout has no such keys"
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
            "pace": _pace(),
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
            "printed": _printed(),
            "basic_keys": _said(
                _closed({"all": COUNT, "dead": names}), "letters, digits, Space and their like; those that do nothing"
            ),
        }
    )


ANY_VALUE = "#/$defs/value"


def _maybe(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _one_of(words: list[str]) -> Schema:
    return {"enum": words}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _object(description: str, optional: tuple[str, ...] = (), /, **fields: Schema) -> Schema:
    return {"description": description, **_closed({**fields}, optional)}


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
        release=_object(
            "which part of a version number this raises, and why",
            step=_one_of([step.word for step in Step]),
            reason=TEXT,
        ),
        news={**_list(_ref("news")), "description": "every change once, with the layouts that have it"},
        firmware=_ref("firmware"),
        layouts=_list(_ref("layout")),
        taken=_list(
            _object("a file that a side takes from the set that ships with the program", file=TEXT, old=FLAG, new=FLAG)
        ),
        not_read={**_list(TEXT), "description": "what looks like files of the new side and is not read"},
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
            presses=_list(_ref("press")),
            changes=_ref("changes"),
            sibling={
                **_maybe(TEXT),
                "description": "for a new layout: an older one whose findings are no news",
            },
            findings={**_maybe(_ref("findings")), "description": "null where they were not compared"},
            code=_maybe(_ref("code")),
            old_faults=_list(_ref("finding")),
            new_faults=_list(_ref("finding")),
        ),
        "code": _object(
            "the C table: its size, and whether each of its bytes is as before",
            old_bytes=_maybe(COUNT),
            new_bytes=_maybe(COUNT),
            same=FLAG,
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
            layouts=_list(TEXT),
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
                    "a name that changed",
                    kind=_one_of(["key", "modifier", "line", "controller"]),
                    old=TEXT,
                    new=TEXT,
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
        "news": _object(
            "one thing that changed, in words",
            audience=_one_of([audience.value for audience in Audience]),
            breaking=FLAG,
            section=_one_of([section.value for section in Section]),
            subject={**TEXT, "description": "the machine or host that it is about, empty for layouts"},
            text=TEXT,
            layouts=_list(TEXT),
            other_words={**COUNT, "description": "in how many of the layouts it is told in words of other keys"},
            gains={**_list(TEXT), "description": "what can be typed now and could not before"},
            proof=_maybe(_ref("proof")),
            file=_maybe(TEXT),
            line=_maybe(COUNT),
            facts=_list(_ref("fact")),
        ),
        "proof": _object(
            "a witness: it can be pressed before and after",
            first={**_list(_list(TEXT)), "description": "presses made and let go before, each with what is held first"},
            hold={**_list(TEXT), "description": "keys that go down in this order and stay down"},
            press=TEXT,
            let_go={**_maybe(TEXT), "description": "the key that goes up again in the end"},
            apart={**FLAG, "description": "the held keys are those of another keyboard"},
            before=TEXT,
            after=TEXT,
        ),
        "firmware": _object(
            "what firmware must know",
            flash={**FLAG, "description": "whether boards are flashed again"},
            table_version=COUNT,
            tables={**COUNT, "description": "how many tables there are on both sides of the layouts that changed"},
            differ={**COUNT, "description": "how many of them have other bytes"},
            old_bytes=COUNT,
            new_bytes=COUNT,
            names_gone={**_list(TEXT), "description": "names in C"},
            names_new=_list(TEXT),
            moved=_list(_object("a layout with another place in mm_layouts", layout=TEXT, old=COUNT, new=COUNT)),
            faults={**_list(TEXT), "description": "layouts that had a table and have none"},
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
            breaking=FLAG,
            before=_ref("outcome"),
            after=_ref("outcome"),
            accent=_maybe(TEXT),
        ),
        "outcome": _object(
            "what a press does",
            does=_one_of([kind.value for kind in Does]),
            text=TEXT,
            also={**_list(TEXT), "description": "further keys that the machine then reads"},
            waiting={
                **TEXT,
                "description": "the dead key that is pending after a press that follows another one",
            },
            cause={**_maybe(_one_of([cause.value for cause in Cause])), "description": "why the stroke is refused"},
        ),
    }


def _finding_parts() -> dict[str, Schema]:
    pair = _object("a finding before and after", before=_ref("finding"), after=_ref("finding"))
    return {
        "finding": {"description": "a finding, as in the report of a check", **_closed(_finding_fields())},
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
