"""Formations, and drop studies by simulation."""
