"""The proof page: where each sign is typed, what is heard, what the editor did, and the page that links them."""
