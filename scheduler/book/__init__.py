"""The book beside a season file keeps every plan that was made for it, in the order they were made.

`store` is the book as the use cases see it; `file` opens its SQLite file, which only grows, and refuses an
unsound one; `migrations` says what its tables are and how an older book becomes one of today. No clock is
asked: whoever keeps a plan says when.
"""
