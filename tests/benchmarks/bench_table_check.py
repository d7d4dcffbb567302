"""What the table check finds of slips, and what it says of tables that are right.

    python -m tests.benchmarks.bench_table_check

Every dimension and published value, every size, 1, 2 and 5 mm and 0.2 and 0.5° to either
side, in three tables of invented builders. Aims: of the slips that move a comparison by more
than twice the printed steps of all its values together 95 in 100 found, the first mend named
right for 70 in 100; of tables rightly rounded at most 2 in 100 faulted.
"""

from __future__ import annotations

import sys

from tests.geometry.verify.invented_tables import KINDS
from tests.geometry.verify.slip_rates import rates

TABLES = 200


def main() -> None:
    """Print the rates of each kind of table."""
    head = "table     right  faulted | slips  found | beyond 2 roundings  found  first mend right"
    sys.stdout.write(f"{head}\n")
    for name, kind in KINDS.items():
        one = rates(kind, tables=TABLES, every=1, seed=16)
        shares = (one.found / one.beyond, one.mended / one.found)
        sys.stdout.write(
            f"{name:9} {one.right_tables:5}  {one.false_alarms:7} | {one.injected:5}"
            f"  {one.injected_found:5} | {one.beyond:18}  {shares[0]:5.1%}  {shares[1]:16.1%}\n"
        )


if __name__ == "__main__":
    main()
