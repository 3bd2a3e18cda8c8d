"""Outlines read from a photo: by a click, all at once, with further clicks, and their doubts."""
