"""`python -m capture` is `pullwatch`."""

from capture.cli import main

if __name__ == "__main__":
    main()
