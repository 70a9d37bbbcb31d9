"""Evaluations of the model: renewals, expectation, simulation, ledger, comparison."""
