"""Every kind of finding, how a run's findings are gathered, and all the forms they are reported in."""
