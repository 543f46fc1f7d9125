"""Tests of Doorcard."""
