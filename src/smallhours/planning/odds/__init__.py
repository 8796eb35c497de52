"""How a published plan fares through the nights that could be: chances to be on time, and where it hurts."""
