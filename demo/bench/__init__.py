"""Benchmarks of the planner on invented days, contracts and factories, made from fixed seeds."""
