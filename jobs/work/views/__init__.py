"""Pages of jobs, of their stages, and of the photos and papers added to them."""
