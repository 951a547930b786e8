"""``python -m pipeline`` is the command ``longneck``."""

from pipeline.cli import main

if __name__ == "__main__":
    main()
