"""The book beside a season file keeps what happened, every plan that was made, and what calendars were told.

`store` is the book as the use cases see it; `file` opens its SQLite file, which only grows, and refuses an
unsound one; `migrations` says what its tables are and how an older book becomes one of today. `entry_text`
writes an entry as plain JSON, `ledger_text` what calendars were told; `transfer` carries a whole book out to
JSON Lines and back. No clock is asked: whoever keeps something says when.
"""
