"""Scores of probability forecasts: how likely the truth was held, how well probabilities match frequencies."""
