"""Known-truth generators for tests, the demo and benchmarks."""
