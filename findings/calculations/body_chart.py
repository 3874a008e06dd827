"""Points and areas on the body surfaces of the body chart.

What lies under a point of a view, and which share of the body's surface an outline on a view
takes in. The geometry is the chart's own; here it is offered beside the other methods, so that a
burned area measured on the chart can go into `burn_area`.

Formula:
    body_pick: the nearest surface of the view under the point (u, v), facing the viewer
    body_area: true surface visible inside the outline / whole surface, in percent

Range:
    The bodies and views of the body chart; u and v in thousandths of crown-heel length, v grows
    downward on the page.

Sources:
    - Body surfaces of the project (made from CC0 base meshes), own computation.
    - Regions follow common surface anatomy.

Cautions:
    - The surfaces are stylised bodies of four builds: a share of the surface is an estimate.
    - A pathologist's own word for the place overrides the region.
    - Only what a view shows is counted; overlapping outlines are counted twice when summed.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, refusal

# Which field an error of the body geometry belongs to, by its code.
_FIELD_BY_CODE = {"unknown_body": "body", "unknown_view": "view"}


def _asked(module: str, function: str, *arguments: Any) -> Any:
    """Call into the body geometry, which is loaded only when it is asked for."""
    try:
        return getattr(import_module(f"findings.body.{module}"), function)(*arguments)
    except ValueError as error:
        code = getattr(error, "code", "")
        raise BadInput(_FIELD_BY_CODE.get(code, "view"), str(error)) from None


def compute_pick(inputs: Inputs) -> Outcome:
    """Surface point, region and outward normal under a point of a view."""
    found = _asked(
        "picking",
        "pick",
        inputs.text("body"),
        inputs.text("view"),
        inputs.number("u"),
        inputs.number("v"),
    )
    if found is None:
        return refusal(
            "nothing of the body lies under this point of the view",
            fields={"point": None, "region": None, "normal": None},
        )
    return Outcome(
        fields={
            "point": [float(part) for part in found.point],
            "region": str(found.region),
            "normal": [float(part) for part in found.normal],
        },
        value=str(found.region),
        unit="thousandths of crown-heel length",
    )


def compute_area(inputs: Inputs) -> Outcome:
    """Share of the body surface inside an outline."""
    outline = inputs.raw("outline")
    if len(outline) < 3:
        raise BadInput("outline", "must have at least three points")
    percent = float(
        _asked("area", "area_percent", inputs.text("body"), inputs.text("view"), outline)
    )
    return Outcome(fields={"area_percent": percent}, value=percent, unit="% body surface")


_BODY = Field("body", Kind.TEXT, "Which body of the chart, such as adult_female.", required=True)
_VIEW = Field("view", Kind.TEXT, "Which view of the chart, such as anterior.", required=True)
PICK_METHOD = define(
    __doc__,
    name="body_pick",
    title="Point on the body chart",
    version="1.0",
    fields=(
        _BODY,
        _VIEW,
        Field(
            "u",
            Kind.NUMBER,
            "Across the page.",
            "thousandths of crown-heel length",
            required=True,
            minimum=-10_000,
            maximum=10_000,
        ),
        Field(
            "v",
            Kind.NUMBER,
            "Down the page.",
            "thousandths of crown-heel length",
            required=True,
            minimum=-10_000,
            maximum=10_000,
        ),
    ),
    result_fields=(
        ResultField("point", "thousandths of crown-heel length", "x to the left, y front, z up."),
        ResultField("region", "", "Key of the region."),
        ResultField("normal", "", "Outward unit vector."),
    ),
    example={"body": "adult_male", "view": "anterior", "u": 0, "v": 300},
    compute=compute_pick,
)
AREA_METHOD = define(
    __doc__,
    name="body_area",
    title="Area on the body chart",
    version="1.0",
    fields=(
        _BODY,
        _VIEW,
        Field(
            "outline",
            Kind.POINTS,
            "Corners (u, v) of the outline.",
            "thousandths of crown-heel length",
            required=True,
            minimum=-10_000,
            maximum=10_000,
        ),
    ),
    result_fields=(ResultField("area_percent", "% body surface", "Share of the whole surface."),),
    example={
        "body": "adult_male",
        "view": "anterior",
        "outline": [[-40, 300], [40, 300], [40, 360], [-40, 360]],
    },
    compute=compute_area,
)
