"""What is learnt from the fleet's own records."""
