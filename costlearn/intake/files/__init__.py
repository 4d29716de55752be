"""A file to grids of cells that know their address; TOML files to tables."""
