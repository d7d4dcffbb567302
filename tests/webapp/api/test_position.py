"""A bike from tape measurements, by JSON."""

from __future__ import annotations

import math
from typing import Any

import pytest
from fastapi.testclient import TestClient

ADDRESS = "/api/v1/position"


def asked(**lengths: float) -> dict[str, Any]:
    return {"measured": [{"kind": kind, "value": value} for kind, value in lengths.items()]}


def test_saddle_from_three_readings(client: TestClient) -> None:
    body = asked(bb_to_saddle=727, bb_above_floor=310, saddle_above_floor=1010)
    answer = client.post(ADDRESS, json=body).json()
    x, y = answer["points"]["saddle"]["at"]
    assert (x, y) == pytest.approx((-math.sqrt(727**2 - 700**2), 700), abs=1e-6)
    # y is the difference of two heights, of 3 and 2 mm
    assert answer["points"]["saddle"]["covariance"][1][1] == pytest.approx(13)
    assert answer["points"]["grip"] == {"at": [None, None], "covariance": [[None] * 2] * 2}
    assert answer["lengths"]["bb_height"] == {
        "value": pytest.approx(310),
        "spread": pytest.approx(2),
    }
    assert answer["measure_next"].startswith("grip_")
    assert answer["contradictions"] == []


def test_contradictions_are_named(client: TestClient) -> None:
    body = asked(wheelbase=1180)
    body["measured"] += [{"kind": "wheelbase", "value": 1210}, {"kind": "wheelbase", "value": 1181}]
    (found,) = client.post(ADDRESS, json=body).json()["contradictions"]
    assert (found["measured"], found["kind"]) == (1, "wheelbase")
    assert found["expected"] == pytest.approx(1180.5)


@pytest.mark.parametrize(
    ("measured", "field"),
    [
        ([], "measured"),
        ([{"kind": "bb_to_moon", "value": 3}], "measured.0.kind"),
        ([{"kind": "wheelbase", "value": 0}], "measured.0.value"),
        ([{"kind": "wheelbase", "value": "long"}], "measured.0.value"),
        ([{"kind": "wheelbase", "value": 1180, "spread": 0}], "measured.0.spread"),
        ([{"kind": "wheelbase", "value": 1180}] * 41, "measured"),
        ([{"kind": "bb_to_saddle", "value": 300}, {"kind": "bb_to_grip", "value": 300},
          {"kind": "saddle_to_grip", "value": 700}], "measured.2.value"),
        ([{"kind": "front_wheel_round", "value": 2200},
          {"kind": "grip_above_floor", "value": 340}], "measured.1.value"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_at_its_field(
    client: TestClient, measured: list[dict[str, Any]], field: str
) -> None:
    response = client.post(ADDRESS, json={"measured": measured})
    assert response.status_code == 422
    assert response.json()["errors"][0]["field"] == field
