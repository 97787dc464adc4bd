"""Run the command line as ``python -m evenground``."""

from evenground.cli import main

if __name__ == "__main__":
    main()
