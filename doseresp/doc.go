// Package doseresp fits dose-response models to bioassay counts: probit, logit
// and complementary log-log lines on log10 dose, with natural mortality, and
// the limits of the doses that kill a given percentage.
//
// The model of a container at dose d is
//
//	P = C + (1 - C) F(a + b log10 d)
//
// where C is the natural mortality, F the distribution named by a Link, and an
// untreated container (d = 0) has P = C. Counts are binomial.
//
// The package takes slices and structs and returns values and errors. It reads
// no files, knows no locale, and imports nothing of the project. An estimate
// that does not exist is NaN, a limit that does not exist is infinite, and the
// Status of a Result says why; no number is made up.
package doseresp
