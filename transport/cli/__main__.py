"""Run the command line as a module."""

from transport.cli.main import main

__all__: list[str] = []

if __name__ == "__main__":
    main(prog_name="glasshaul")
