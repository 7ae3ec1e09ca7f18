"""A record reduced by several processes or by a cluster, through Dask, if it is too long for one process.

Dask is an extra: pip install distributed.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pandas

from pailbook.files import scratch
from pailbook.workbook.readings.answers import ReadingsError
from pailbook.workbook.readings.daily import ROWS_AT_ONCE, Days, Pieces, combined, partial_sums
from pailbook.workbook.readings.sensor import Layout

if TYPE_CHECKING:
    from distributed import Client

BLOCK: str | int = "64MB"


@contextlib.contextmanager
def on_cluster(workers: int | str) -> Iterator[Pieces]:
    """What gives `daily` its partial sums from a cluster.

    Parameters
    ----------
    workers : how many processes of this machine, or the address of a cluster's scheduler, on which the record must lie
        under the same path.

    Raises
    ------
    ReadingsError
        If Dask is not installed.
    """
    try:
        from distributed import Client, LocalCluster
    except ImportError:
        raise ReadingsError("several processes need Dask, which is not installed; install it with: pip install "
                            "distributed") from None
    if isinstance(workers, str):
        with Client(workers) as client:  # type: ignore[no-untyped-call]
            yield lambda layout: from_cluster(layout, client)
        return
    from dask import config

    with scratch() as folder, config.set({"temporary-directory": str(folder)}):  # else it leaves one of its own behind
        # Nobody looks at this page, so it takes any free port: on the usual one a second run would print a warning.
        page = "127.0.0.1:0"
        cluster = LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=page)  # type: ignore[no-untyped-call]
        with cluster, Client(cluster) as client:  # type: ignore[no-untyped-call]
            yield lambda layout: from_cluster(layout, client)


def from_cluster(layout: Layout, client: Client) -> Iterator[pandas.DataFrame]:
    """The partial sums of the record's blocks, as they come in."""
    from dask.bytes.core import read_bytes
    from dask.delayed import delayed
    from distributed import as_completed

    if "16" in layout.encoding:
        raise ReadingsError(f"{layout.path} is UTF-16 text, which several processes cannot share; save it as UTF-8, "
                            "or leave out --workers")
    _, blocks = read_bytes(  # type: ignore[no-untyped-call]
        str(layout.path), blocksize=BLOCK, delimiter=b"\n", sample=False)
    partial = delayed(_partial)
    sums = client.compute([partial(data, layout, place == 0) for place, data in enumerate(blocks[0])])  # type: ignore[no-untyped-call]
    for future in as_completed(sums):  # type: ignore[no-untyped-call]
        yield future.result()


def _partial(data: bytes, layout: Layout, beginning: bool) -> pandas.DataFrame:
    days = Days(layout)
    return combined([partial_sums(piece, layout, days)
                     for piece in layout.read(ROWS_AT_ONCE, io.BytesIO(data), beginning)])
