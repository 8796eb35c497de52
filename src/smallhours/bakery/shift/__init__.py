"""What is said of a night while it runs."""
