"""The diagnosis: a case and a rule graph in; ranking, next check and cautions out."""
