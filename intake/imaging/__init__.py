"""Decoding, orienting and measuring pictures. Facts only, no verdicts."""
