"""The shop's record: tables, entries, folds, the proof of it, copies."""
