"""Pages of surveys: the diary and visits, areas, shapes."""
