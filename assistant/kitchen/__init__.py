"""Pure computing on records: scaling, nutrients, label rules, storage, swaps, the clock. No text of a question comes here."""
