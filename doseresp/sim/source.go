package sim

import (
	"fmt"
	"math/rand/v2"
)

// Source is a stream of random numbers. It must not be used by two goroutines
// at once.
type Source struct{ pcg rand.PCG }

// NewSource returns one of 2^64 streams of a seed. The generator is PCG-DXSM
// with 128 bits of state (O'Neill 2014, PCG: a family of simple fast
// space-efficient statistically good algorithms for random number generation,
// Harvey Mudd College HMC-CS-2014-0905, and its later DXSM output). Seed and
// stream are scrambled first, because the states of neighbouring streams would
// otherwise differ in a few low bits only.
func NewSource(seed, stream uint64) *Source {
	s := new(Source)
	s.pcg.Seed(scramble(seed), scramble(stream))
	return s
}

// scramble is the step and output function of SplitMix64 (Steele, Lea & Flood
// 2014, Fast splittable pseudorandom number generators, OOPSLA), a permutation
// of the 64-bit numbers. The addend moves 0, which the output function alone
// would leave in place.
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// Float64 returns a number uniform on the multiples of 2^-53 in [0, 1).
func (s *Source) Float64() float64 { return float64(s.pcg.Uint64()>>11) * 0x1p-53 }

// Binomial returns how many of n respond when each does with probability p. It
// is exactly 0 or n at p = 0 or 1. It panics unless n >= 0 and 0 <= p <= 1.
func (s *Source) Binomial(n int, p float64) int {
	checkDraw(n, p)
	switch {
	case n == 0 || p == 0:
		return 0
	case p == 1:
		return n
	case p > 0.5:
		return n - s.binomial(n, 1-p)
	}
	return s.binomial(n, p)
}

// largestDraw keeps (1-p)^n, at least 2^-512 for p up to 1/2, from underflow.
const largestDraw = 512

// binomial adds up draws that are small enough to invert; 0 < p <= 1/2.
func (s *Source) binomial(n int, p float64) int {
	total := 0
	for ; n > largestDraw; n -= largestDraw {
		total += s.invertBinomial(largestDraw, p)
	}
	return total + s.invertBinomial(n, p)
}

// invertBinomial inverts the distribution function by summing probabilities
// from 0 upwards (algorithm BINV of Kachitvichyanukul & Schmeiser 1988,
// Binomial random variate generation, Communications of the ACM 31:216-222).
// Its cost grows with n p.
func (s *Source) invertBinomial(n int, p float64) int {
	odds, none := p/(1-p), power(1-p, n)
	for {
		u, f := s.Float64(), none
		for k := 0; k <= n; k++ {
			if u < f {
				return k
			}
			u -= f
			f = float64(f * odds * float64(n-k) / float64(k+1))
		}
		// Rounding left a remnant of u above the sum, about once in 1e15 draws.
	}
}

// power is x^n by squaring: unlike the one of the maths library it rounds the
// same way on every processor.
func power(x float64, n int) float64 {
	y := 1.0
	for ; n > 0; n >>= 1 {
		if n&1 == 1 {
			y *= x
		}
		x *= x
	}
	return y
}

// BetaBinomial returns how many of n respond when the probability is p on
// average and two of the n respond alike with correlation rho: mean n p,
// variance n p (1-p) (1 + (n-1) rho). With rho = 0 it is Binomial; with rho = 1
// all or none respond. It panics unless n >= 0 and p and rho lie in [0, 1].
//
// It is drawn as from an urn in which every draw adds a ball of the colour
// drawn (Eggenberger & Pólya 1923, Über die Statistik verketteter Vorgänge,
// Zeitschrift für angewandte Mathematik und Mechanik 3:279-289): after k of i
// responded the next does with probability (p (1-rho) + k rho)/(1-rho + i rho).
// That is exact for every p and rho, and needs no gamma or beta variate.
func (s *Source) BetaBinomial(n int, p, rho float64) int {
	if !(rho >= 0 && rho <= 1) {
		panic(fmt.Sprintf("sim: correlation %v is not between 0 and 1", rho))
	}
	checkDraw(n, p)
	switch {
	case rho == 0 || p == 0 || p == 1:
		return s.Binomial(n, p)
	case rho == 1: // the first decides for all
		return n * s.Binomial(1, p)
	}
	k, balls := 0, 1-rho
	red := float64(p * balls)
	for range n {
		hit := 0 // added rather than branched upon: a branch would be mispredicted
		if s.Float64()*balls < red {
			hit = 1
		}
		k += hit
		red += float64(float64(hit) * rho)
		balls += rho
	}
	return k
}

func checkDraw(n int, p float64) {
	if n < 0 || !(p >= 0 && p <= 1) {
		panic(fmt.Sprintf("sim: no draw of %d with probability %v", n, p))
	}
}
