package doseresp

import (
	"math"
	"math/rand/v2"
)

// clustered draws the dead of n individuals whose mortality p varies between
// containers with correlation rho, from an urn (Pólya's) that each death and
// each survival adds to.
func clustered(r *rand.Rand, n int, p, rho float64) int {
	dead, a, b := 0, p*(1-rho), (1-p)*(1-rho)
	for range n {
		if r.Float64()*(a+b) < a {
			dead++
			a += rho
		} else {
			b += rho
		}
	}
	return dead
}

// untidyAssay draws containers of any number and size, any correlation, any
// natural mortality, at doses that may miss the LC50.
func untidyAssay(r *rand.Rand) []Container {
	doses, vials := 2+r.IntN(6), 1+r.IntN(4)
	n := []int{1, 3, 5, 10, 12, 20, 60}[r.IntN(7)]
	rho := []float64{0, 0, .02, .1, .3, .8}[r.IntN(6)]
	c := []float64{0, .02, .1, .3}[r.IntN(4)]
	slope := .5 + 6*r.Float64()
	middle := (r.Float64() - .3) * float64(doses) / 2
	return drawAssay(r, doses, vials, c, rho, func(i int) (dose, p float64) {
		x := (float64(i) - middle) * .301
		return math.Pow(10, x), Probit.CDF(slope * x)
	}, func() int {
		if r.IntN(5) == 0 {
			return 1 + r.IntN(n)
		}
		return n
	})
}

// tidyAssay draws what a laboratory would: five or six doses around the LC50,
// two or three containers of one size at each.
func tidyAssay(r *rand.Rand) []Container {
	doses, n := 5+r.IntN(2), 10+r.IntN(10)
	c := []float64{0, .03, .1}[r.IntN(3)]
	rho := []float64{0, .05, .1, .2}[r.IntN(4)]
	slope, shift := 1.5+2.5*r.Float64(), r.Float64()-.5
	return drawAssay(r, doses, 2+r.IntN(2), c, rho, func(i int) (dose, p float64) {
		x := (float64(i)-float64(doses-1)/2)*.301 + shift*.4
		return math.Pow(10, x), Probit.CDF(slope * x)
	}, func() int { return n })
}

// drawAssay draws vials containers at each dose and for the control.
func drawAssay(r *rand.Rand, doses, vials int, c, rho float64, at func(int) (dose, p float64), size func() int) []Container {
	var out []Container
	for i := -1; i < doses; i++ {
		dose, p := 0.0, c
		if i >= 0 {
			dose, p = at(i)
			p = c + (1-c)*p
		}
		for range vials {
			n := size()
			out = append(out, Container{Dose: dose, Exposed: n, Dead: clustered(r, n, p, rho)})
		}
	}
	return out
}

// sixDoses is an invented assay of six doses and controls with three
// containers of 12 at each.
func sixDoses() []Container {
	var out []Container
	for i, dead := range [][]int{{1, 0, 0}, {1, 0, 3}, {3, 4, 1}, {5, 6, 3}, {9, 4, 8}, {11, 8, 12}, {12, 11, 12}} {
		dose := 0.0
		if i > 0 {
			dose = math.Pow(2, float64(i))
		}
		for _, r := range dead {
			out = append(out, Container{dose, 12, r})
		}
	}
	return out
}
