"""What pack authors test with: a conformance suite, a client, sample cases, comparisons that explain themselves."""
