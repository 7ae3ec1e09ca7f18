"""The latest row of each system, found by plain counting: neither an error in another row nor its order disturbs it.

Every dated row of a system on the list gets a number that begins with the system's place on the list and goes on with
the time. The largest number below the next system's is the latest row's.
"""

from __future__ import annotations

_SPAN = 100_000  # more than any date counts in days
_ROW = "ROW()*2E-8"  # so that no two numbers are equal: under 2 ms a row, and far above what a sheet takes for equal


def order(place: str, stamp: str) -> str:
    """Formula text for a row's number; "" where its system is not on the list or its stamp is 0.

    place, stamp : the cells with its system's place on the list, "" where it has none, and with its time in days.
    """
    return f'IF({stamp}=0,"",IF({place}="","",{number(place, stamp)}))'


def number(place: str, stamp: str) -> str:
    """Formula text for a row's number from its system's place on the list and its time in days."""
    return f"{place}*{_SPAN}+{stamp}+{_ROW}"


def largest(numbers: str, place: str) -> str:
    """Formula text for the largest of the numbers that belong to a system, from the cell with its place on the list.

    "" where there is none.
    """
    first, next_one = f'">="&{place}*{_SPAN}', f'">="&({place}+1)*{_SPAN}'
    below = f'"<"&({place}+1)*{_SPAN}'
    return (f'IF(COUNTIFS({numbers},{first},{numbers},{below})=0,"",'
            f"LARGE({numbers},COUNTIF({numbers},{next_one})+1))")


def day(number: str, place: str) -> str:
    """Formula text for the day in a row's number."""
    return f"INT({number}-{place}*{_SPAN})"
