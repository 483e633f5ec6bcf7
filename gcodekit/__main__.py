"""`python -m gcodekit` is the command `gcodekit`."""

from gcodekit.cli.app import main

if __name__ == "__main__":
    main()
