"""What does an entry of a layout's `accept:` hold? A reason, or the fields declared here."""

from __future__ import annotations

from matrixmap.source.shape.shapes import Field, Fields, ListOf, Number, OneOf, Words

AN_ACCEPTANCE = Fields(
    "an acceptance",
    {
        "reason": Field(Words("a reason"), "why the layout accepts it", required=True),
        "count": Field(Number(1, 1_000_000), "how many cases there are; any other number is reported"),
        "witness": Field(
            OneOf(text=Words("the keys of a finding"), items=ListOf(Words("the keys of a finding"))),
            "the keys with which the finding begins, such as hold Control, press O; other findings of its kind are "
            "reported",
        ),
    },
)
