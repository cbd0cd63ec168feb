// Package meta summarises estimates of several units, such as the log10 LC50
// of several populations, each known with its own variance: what they have in
// common, how much they truly differ, and where a further unit may be expected.
//
// The model is that of random effects,
//
//	y_i = x_iᵀβ + u_i + e_i,   u_i ~ N(0, τ²),   e_i ~ N(0, v_i)
//
// with the v_i taken as known. [Summarise] has a mean alone for x_iᵀβ,
// [Regress] also covariates. The between-unit variance τ² is estimated and its
// share of the uncertainty carried: limits of β are those of Knapp & Hartung
// (2003, Statistics in Medicine 22:2693-2710), with Student's t on k - p degrees
// of freedom and a variance factor that is never below 1, k units and p
// coefficients. A limit that does not exist is infinite, an estimate that does
// not exist is NaN, and a Warning says why.
//
// The package imports the standard library and gonum alone.
package meta
