"""``python -m trainer``."""

from __future__ import annotations

from trainer.cli.main import run

if __name__ == "__main__":
    run()
