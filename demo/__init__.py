"""An invented workshop: its rack, its week of jobs, the replay of a year, the benchmarks."""
