"""The retuning sheet of a programme, for the music stand."""
