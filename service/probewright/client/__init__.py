"""Asks the service from Python."""
