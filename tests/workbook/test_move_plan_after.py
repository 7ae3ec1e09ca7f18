"""After the move: three weeks of watching, survival with its interval, when to call, what deaths point to."""

from __future__ import annotations

import pytest

import moves
from pailbook.workbook.move_plan import after

HERD: moves.Inputs = moves.BASE | {"vessel_count": 10.0, "fish_count": 100.0, "fish_weight": 11.0}


def test_known_failure_13_the_third_week_counts() -> None:
    early = moves.computed(HERD, more=moves.dead((6, 0)))
    assert moves.named(early, "after_verdict") == (
        "watch: day 6 of 21; a disease that came along can still show in the third week")
    done = moves.computed(HERD, more=moves.dead((21, 0)))
    assert moves.named(done, "after_verdict").startswith("fine")
    late = moves.computed(HERD, more=moves.dead((15, 1), (17, 3)))
    assert moves.named(late, "after_verdict").startswith("act")
    assert "disease" in moves.named(late, "deaths_point_to")
    assert moves.verdict(moves.computed(HERD | {"quarantine": "no"}), "Disease").startswith("watch")


def test_survival_comes_with_the_interval_of_a_small_number_of_fish() -> None:
    values = moves.computed(HERD | {"fish_count": 30.0}, more=moves.dead((3, 0)))
    assert moves.named(values, "survival") == 100
    # 0 of 30 dead still allows 11.4 % (Wilson 1927, 95 %).
    assert moves.named(values, "survival_from") == pytest.approx(100 - 11.4, abs=0.05)
    assert moves.named(values, "survival_to") == pytest.approx(100)


@pytest.mark.parametrize(("deaths", "words"), [
    (((0, 6),), "act: too many dead on arrival"),
    (((1, 3),), "act: too many dead in one day; stop feeding, test the water and call"),
    (((3, 2), (4, 2)), "act: deaths on two days running; call a vet"),
    (((2, 2), (4, 2), (6, 2)), "act: too many dead in 7 days"), (((2, 1),), "watch: take the dead out"),
    (((5, 0),), "fine"),
])
def test_when_to_call(deaths: tuple[tuple[int, int], ...], words: str) -> None:
    values = moves.computed(HERD, more=moves.dead(*deaths))
    table = after.table()
    assert values[table.sheet, f"{table.letter('what')}{table.first_row + deaths[-1][0]}"].startswith(words)


def test_a_number_of_deaths_that_cannot_be_read_is_not_fine() -> None:
    table = after.table()
    for key, faulty in (("dead", "none"), ("with_sign", "two")):
        day = {(table.sheet, f"{table.letter(key)}{table.first_row + 2}"): faulty}
        values = moves.computed(HERD, more=moves.dead((2, 0), (4, 0)) | day)
        row = values[table.sheet, f"{table.letter('what')}{table.first_row + 2}"]
        if key == "dead":
            assert row == "not known: 'New fish dead' is no number"
            assert moves.named(values, "after_verdict").startswith("not known")
        else:
            assert not row.startswith("act")
    limit = moves.computed(HERD | {"deaths_day": "few"}, more=moves.dead((1, 0)))
    assert moves.named(limit, "after_verdict").startswith("not known")
