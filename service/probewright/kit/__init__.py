"""A new pack as a distribution of its own, written from templates."""
