package doseresp

import "gonum.org/v1/gonum/stat/distuv"

// ClopperPearson returns the exact limits of a binomial proportion from r of
// n at a confidence level: the proportions at which r or more, and r or
// fewer, each have probability (1-level)/2 (Clopper & Pearson 1934, Biometrika
// 26:404-413). The limit is 0 for r = 0 and 1 for r = n. It panics unless
// 0 <= r <= n, n > 0 and 0 < level < 1.
func ClopperPearson(r, n int, level float64) (lower, upper float64) {
	tail := (1 - level) / 2
	return clopperPearson(r, n, tail)
}

// ClopperPearsonUpper returns the one-sided exact upper limit at a level.
func ClopperPearsonUpper(r, n int, level float64) float64 {
	_, upper := clopperPearson(r, n, 1-level)
	return upper
}

func clopperPearson(r, n int, tail float64) (lower, upper float64) {
	if r < 0 || r > n || n <= 0 || !(tail > 0 && tail < 1) {
		panic("doseresp: exact limits need 0 <= r <= n, n > 0 and a level between 0 and 1")
	}
	lower, upper = 0, 1
	if r > 0 {
		lower = distuv.Beta{Alpha: float64(r), Beta: float64(n - r + 1)}.Quantile(tail)
	}
	if r < n {
		upper = distuv.Beta{Alpha: float64(r + 1), Beta: float64(n - r)}.Quantile(1 - tail)
	}
	return lower, upper
}
