// Package sim draws seeded bioassays from a stated truth, so that a method can
// be judged by what it should have found.
//
// A Truth gives the mortality at any dose, a Design the containers to fill, a
// Source the random numbers. Give every replicate of a study a stream of its
// own (the second argument of NewSource): then replicates are independent of
// the order, and of the number of goroutines, in which they are drawn.
//
// The same seed and stream give the same counts in every version of Go: only
// the generator, whose algorithm is published, comes from the standard library,
// and every variate is made from its bits here. Products are rounded before
// they are added, so that processors which fuse the two agree with the others.
package sim
