"""``python -m smallhours``: the terminal."""

from smallhours.cli.main import run

if __name__ == "__main__":
    run()
