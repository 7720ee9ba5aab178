"""What stands under `accept:` of a layout where a reason alone is not enough."""

from __future__ import annotations

from matrixmap.source.shape.shapes import Field, Fields, ListOf, Number, OneOf, Words

AN_ACCEPTANCE = Fields(
    "an acceptance",
    {
        "reason": Field(Words("a reason"), "why the layout lives with it", required=True),
        "count": Field(Number(1, 1_000_000), "how many cases there are; with more or fewer it is told"),
        "witness": Field(
            OneOf(text=Words("the keys of a finding"), items=ListOf(Words("the keys of a finding"))),
            "the keys with which the finding begins, such as hold Control, press O; others of its kind are told",
        ),
    },
)
