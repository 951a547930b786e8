"""The stages: each one pure function from one frozen record to the next."""
