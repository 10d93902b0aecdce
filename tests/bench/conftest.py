"""A script and its modules: nothing here is a test."""

collect_ignore_glob = ["*.py"]
