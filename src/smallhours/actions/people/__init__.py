"""Verbs about people and shared tablets: accounts, signing in, pairing."""
