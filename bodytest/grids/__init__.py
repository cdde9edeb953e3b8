"""Files → grids of raw cells that know their address: .xlsx, .ods and text tables, bounded in time and memory."""
