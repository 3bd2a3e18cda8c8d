"""Outlines read from a photo."""
