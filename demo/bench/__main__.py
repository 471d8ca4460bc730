"""Benchmarks, each by its name: ``python -m demo.bench day --days 100``."""

import sys

from demo.bench import csp, days, large, limits, memory, shows, without

BENCHMARKS = {
    "csp": csp.main,
    "day": days.main,
    "contract": large.contract,
    "factory": large.factory,
    "growth": large.growth,
    "limits": limits.main,
    "memory": memory.main,
    "show": shows.main,
    "without": without.main,
}


def main(arguments: list[str]) -> int:
    """Run the benchmark named first with the rest of the arguments."""
    if not arguments or arguments[0] not in BENCHMARKS:
        print(f"usage: python -m demo.bench {{{','.join(BENCHMARKS)}}} ...", file=sys.stderr)
        return 2
    return BENCHMARKS[arguments[0]](arguments[1:])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
