// Package mixture estimates the resistant fraction of a population: the share
// q of its mites that tolerate more of an acaricide than the susceptible
// baseline, seen while it is too rare to move the LC50.
//
// The mortality of a field container at dose d, x = log10 d, is
//
//	P = C + (1 - C) [(1 - q) F(a + b x) + q F(a + b (x - s))]
//
// with the line a + b x of the baseline, the resistant fraction q in [0, 1]
// and the shift s in log10 dose. A shift without bound is the plateau: no
// tested dose kills the resistant part, and its term is 0. Baseline and field
// are fitted in one likelihood, so that the uncertainty of the line is
// carried; each assay has its natural mortality C to itself.
//
// Two traps are built into the results. The fraction of the plateau form is
// biased low where the shift is finite, so it is labelled a lower bound and
// the interval comes from the form with a free shift. And survivors are never
// judged against the share that should survive at an estimated LC99: with a
// small baseline that share is uncertain, so the comparison is with the
// survival that the baseline predicts, its uncertainty included.
//
// Like the package it builds on, it takes slices and structs and returns
// values and errors, without files, clocks or random numbers.
package mixture
