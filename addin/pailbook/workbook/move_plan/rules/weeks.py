"""The three weeks after a move: what each day asks for, and how the fish are doing."""

from __future__ import annotations

from typing import Any

from pailbook.rules import Rule, Rungs, act, act_if_known, fine, is_blank, needs, not_asked, say, shown, watch
from pailbook.workbook.move_plan.rules.asked import verdict

_CALL = "Stop feeding, test the water and call"


@verdict("What to do")
def day_after_the_move(
    day: Any, dead: Any, fish_count: Any, deaths_arrival: Any, deaths_vet: Any, deaths_day: Any, deaths_week: Any,
    alike: Any, dead_before: Any, dead_in_week: Any, signs: Any, with_sign: Any, feed_eaten: Any,
) -> Rungs:
    """What the entries of one day ask for; nothing until somebody counted the dead."""
    def above(count: Any, limit: Any) -> Any:
        """Whether so many of the fish are more than a limit in per cent."""
        return 100 * count > limit * fish_count

    return (
        not_asked(is_blank(dead)),
        act_if_known((day == 0) & above(dead, deaths_arrival),
                     "too many dead on arrival; stop feeding, test the water and call", _CALL),
        act_if_known(above(dead_before, deaths_vet) & above(dead, deaths_vet),
                     "deaths on two days running; call a vet", "Call a vet"),
        act_if_known(above(dead, deaths_day), "too many dead in one day; stop feeding, test the water and call", _CALL),
        act_if_known(above(dead_in_week, deaths_week),
                     "too many dead in 7 days; stop feeding, test the water and call", _CALL),
        act_if_known((signs != "none") & (with_sign >= alike),
                     "several fish show one sign; isolate them and call a vet", "Isolate them and call a vet"),
        needs(day, dead, fish_count, deaths_arrival, deaths_vet, deaths_day, deaths_week, alike, dead_before,
              dead_in_week, signs, with_sign),
        watch(dead > 0, "take the dead out; test ammonia, nitrite and pH"),
        watch(signs != "none", "look again this evening"),
        watch((day > 1) & (feed_eaten == "none"), "they do not eat; take the feed out and test the water"),
        fine(),
    )


@verdict("Verdict")
def weeks_of_watching(
    days_to_act: Any, days_unknown: Any, days_seen: Any, watch_days: Any, days_to_watch: Any
) -> Rungs:
    """How the fish are doing; fine only once the weeks are over."""
    return (
        act(days_to_act > 0, "see the days below that need action", "Do what those days ask for"),
        needs(days_unknown),
        watch(days_seen < watch_days, say("day ", shown(days_seen, 0), " of ", shown(watch_days, 0),
                                          "; a disease that came along can still show in the third week")),
        watch(days_to_watch > 0, "the weeks of watching are over, but fish were lost; write down why"),
        fine(True, "the weeks of watching are over"),
    )


RULES: tuple[Rule, ...] = (day_after_the_move, weeks_of_watching)
