"""Tests of the kitchen: oven, bowls, surfaces, thermometers and the simulators."""
