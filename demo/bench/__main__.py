"""Benchmarks, each by its name: ``python -m demo.bench csp FOLDER``."""

import sys

from demo.bench import csp

BENCHMARKS = {"csp": csp.main}


def main(arguments: list[str]) -> int:
    """Run the benchmark named first with the rest of the arguments."""
    if not arguments or arguments[0] not in BENCHMARKS:
        print(f"usage: python -m demo.bench {{{','.join(BENCHMARKS)}}} ...", file=sys.stderr)
        return 2
    return BENCHMARKS[arguments[0]](arguments[1:])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
