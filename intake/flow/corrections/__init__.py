"""Corrections of what is recorded: editions and copies edited, merged, moved, added and withdrawn."""
