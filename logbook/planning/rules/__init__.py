"""Windows and jobs that no row of marks can give; each rule registers itself when its module is imported."""
