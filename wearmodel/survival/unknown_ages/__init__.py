"""Lives whose fitting date nobody wrote down, by the forward recurrence of renewals."""
