"""`python -m toolpath` is the command `dishpath`."""

from toolpath.cli.main import main

if __name__ == "__main__":
    main(prog_name="dishpath")
