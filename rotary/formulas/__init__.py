"""Floats or arrays in, floats or arrays out; numpy only."""
