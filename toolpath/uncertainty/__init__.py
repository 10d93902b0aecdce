"""Uncertainty in numbers alone: budget, estimate, stages, what is in reach."""
