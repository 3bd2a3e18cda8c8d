"""Hostile input of every kind, made from a seed: each case reads one and says how it went."""
