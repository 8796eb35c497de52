"""Planning anew while the night runs: what is done stays, what was promised moves as little as it must."""
