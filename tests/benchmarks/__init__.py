"""How long things take, side by side in one run: `python -m tests.benchmarks` in the repository's folder."""
