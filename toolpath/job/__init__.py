"""Job files: pydantic is used here and nowhere else."""

import os

# pydantic would look through every installed package for plugins: slow, and none may change how a job is read
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
