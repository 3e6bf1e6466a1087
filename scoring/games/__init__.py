"""Games beside the event: kept outside standings and purse."""
