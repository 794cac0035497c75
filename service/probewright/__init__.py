"""Diagnostics for household-appliance service shops: readings in, fault probabilities and the next safe step out."""
