"""Runs the command line as `python -m purfle.shell`.

Invariant: does nothing else.
"""

from purfle.shell.entry import main

if __name__ == "__main__":
    main()
