"""Driveline layouts, joint angles and kinematics (pure functions)."""
