"""Rendered bench photos drawn at random, each with the truth about it."""
