"""The JSON Schema (draft 2020-12) of a comparison."""

from __future__ import annotations

from matrixmap.compare.gist import Step
from matrixmap.compare.items.item import Audience, Section
from matrixmap.compare.layouts import Status
from matrixmap.compare.sides.outcomes import Does
from matrixmap.form.as_json import VERSION
from matrixmap.form.schemas import COUNT, FLAG, TEXT, Schema, closed, finding_fields, list_of
from matrixmap.model.words import json_text
from matrixmap.press.rules import Cause

ANY_VALUE = "#/$defs/value"


def _maybe(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _one_of(words: list[str]) -> Schema:
    return {"enum": words}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _object(description: str, optional: tuple[str, ...] = (), /, **fields: Schema) -> Schema:
    return {"description": description, **closed({**fields}, optional)}


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
        news={**list_of(_ref("news")), "description": "every change once, with the layouts that have it"},
        firmware=_ref("firmware"),
        layouts=list_of(_ref("layout")),
        taken=list_of(
            _object("a file that a side takes from the set that ships with the program", file=TEXT, old=FLAG, new=FLAG)
        ),
        not_read={**list_of(TEXT), "description": "what looks like files of the new side and is not read"},
        loose=list_of(_ref("loose_file")),
        clashes=list_of(_ref("clash")),
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
            files={**list_of(TEXT), "description": "the files that changed"},
            reach=_object("how many characters and functions can be typed", before=COUNT, after=COUNT),
            lost=list_of(TEXT),
            gained=list_of(TEXT),
            presses=list_of(_ref("press")),
            changes=_ref("changes"),
            sibling={
                **_maybe(TEXT),
                "description": "for a new layout: an older one; its findings are no news",
            },
            findings={**_maybe(_ref("findings")), "description": "null where they were not compared"},
            code=_maybe(_ref("code")),
            old_faults=list_of(_ref("finding")),
            new_faults=list_of(_ref("finding")),
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
            findings=list_of(_ref("finding")),
        ),
        "clash": _object(
            "a fact that both branches changed, each in its own way",
            layouts=list_of(TEXT),
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
            "anyOf": [{"type": ["string", "number", "boolean", "null"]}, list_of({"$ref": ANY_VALUE})],
        },
        "fact": {
            "description": "the kind of a fact, then what it is about",
            **list_of({"$ref": ANY_VALUE}),
            "minItems": 1,
        },
        "changes": _object(
            "replace the names in the old facts, then set or take out facts: that gives the new ones",
            renames=list_of(
                _object(
                    "a name that changed",
                    kind=_one_of(["key", "modifier", "line", "controller"]),
                    old=TEXT,
                    new=TEXT,
                )
            ),
            facts=list_of(
                _object(
                    "a fact that came (no old), went (no new) or has another value",
                    ("old", "new"),
                    fact=_ref("fact"),
                    old={"$ref": ANY_VALUE},
                    new={"$ref": ANY_VALUE},
                )
            ),
        ),
        **_news_parts(),
        **_press_parts(),
    }


def _stored() -> Schema:
    what = "a 16-bit id that no layout has any more: a choice that firmware stored is lost"
    return _object(what, layout=TEXT, id16=TEXT, new=_maybe(TEXT))


def _news_parts() -> dict[str, Schema]:
    return {
        "news": _object(
            "one thing that changed, in words",
            audience=_one_of([audience.value for audience in Audience]),
            breaking=FLAG,
            section=_one_of([section.value for section in Section]),
            subject={**TEXT, "description": "the machine or host that it is about, empty for layouts"},
            text=TEXT,
            layouts=list_of(TEXT),
            other_words={**COUNT, "description": "in how many of the layouts other keys are named for it"},
            gains={**list_of(TEXT), "description": "what can be typed now and could not before"},
            proof=_maybe(_ref("proof")),
            file=_maybe(TEXT),
            line=_maybe(COUNT),
            facts=list_of(_ref("fact")),
        ),
        "proof": _object(
            "a witness: it can be pressed before and after",
            first={
                **list_of(list_of(TEXT)),
                "description": "earlier presses that are over, each with what is held first",
            },
            hold={**list_of(TEXT), "description": "keys that go down in this order and stay down"},
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
            names_gone={**list_of(TEXT), "description": "names in C"},
            names_new=list_of(TEXT),
            moved=list_of(_object("a layout with another place in mm_layouts", layout=TEXT, old=COUNT, new=COUNT)),
            stored=list_of(_stored()),
            faults={**list_of(TEXT), "description": "layouts that had a table and have none"},
        ),
    }


def _press_parts() -> dict[str, Schema]:
    return {
        "press": _object(
            "a press that does something else than before",
            triggers={
                **list_of(list_of(TEXT)),
                "description": "alike ones; each is one press, or a dead key and the next key",
            },
            hold={
                **list_of(TEXT),
                "description": "modifier keys to hold for the last press, without those of which the other side does as well",
            },
            on={**list_of(TEXT), "description": "the lock key that was pressed before"},
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
            also={**list_of(TEXT), "description": "further keys that the machine then reads"},
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
        "finding": {"description": "a finding, as in the report of a check", **closed(finding_fields())},
        "findings": _object(
            "what happened to the findings",
            new=list_of(_ref("finding")),
            gone=list_of(_ref("finding")),
            grown=list_of(pair),
            shrunk=list_of(pair),
            accepted=list_of(_ref("finding")),
            exposed=list_of(_ref("finding")),
            unchanged=COUNT,
        ),
    }
