"""Tests of the room that turns a grower's words into entries and entries into progress."""
