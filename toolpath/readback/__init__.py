"""A program's text read, cut and judged again, by a reader and a cutter of its own."""
