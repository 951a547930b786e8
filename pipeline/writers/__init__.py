"""Writers: records in, bytes out; no musical decisions."""
