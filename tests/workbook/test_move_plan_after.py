"""After the move: three weeks of watching, survival with its interval, when to call, what deaths point to."""

from __future__ import annotations

import pytest

import moves
from pailbook.workbook.move_plan import after

DRUM: moves.Inputs = moves.BUCKET | {
    "vessel_volume": 200.0, "fish_count": 20.0, "fish_weight": 3.0, "air_flow": 6.0, "stone": "fine"}


def test_failure_13_the_third_week_counts() -> None:
    herd = DRUM | {"fish_count": 100.0, "fish_weight": 5.0}
    early = moves.computed(herd, more=moves.dead((6, 0)))
    assert moves.named(early, "after_verdict") == (
        "watch: day 6 of 21; losses of a disease carried in can show in the third week")
    done = moves.computed(herd, more=moves.dead((21, 0)))
    assert moves.named(done, "after_verdict").startswith("fine")
    late = moves.computed(herd, more=moves.dead((15, 1), (17, 3)))
    assert moves.named(late, "after_verdict").startswith("act")
    assert "disease" in moves.named(late, "deaths_point_to")
    assert moves.said(moves.computed(herd | {"quarantine": "no"}), "Disease").startswith("watch")


def test_survival_comes_with_what_so_few_fish_can_tell() -> None:
    values = moves.computed(DRUM | {"fish_count": 30.0}, more=moves.dead((3, 0)))
    assert moves.named(values, "survival") == 100
    # 0 of 30 dead still allows 11.4 % (Wilson 1927, 95 %).
    assert moves.named(values, "survival_from") == pytest.approx(100 - 11.4, abs=0.05)
    assert moves.named(values, "survival_to") == pytest.approx(100)


@pytest.mark.parametrize(("deaths", "words"), [
    (((0, 6),), "act: more dead on arrival"), (((1, 3),), "act: stop feed, test the water, call"),
    (((3, 2), (4, 2)), "act: deaths two days running; call a vet"),
    (((2, 2), (4, 2), (6, 2)), "act: too many in 7 days"), (((2, 1),), "watch: take the dead out"),
    (((5, 0),), "fine"),
])
def test_call_me_when(deaths: tuple[tuple[int, int], ...], words: str) -> None:
    values = moves.computed(DRUM | {"fish_count": 100.0, "fish_weight": 5.0}, more=moves.dead(*deaths))
    table = after.table()
    assert values[table.sheet, f"{table.letter('what')}{table.first_row + deaths[-1][0]}"].startswith(words)
