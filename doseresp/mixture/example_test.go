package mixture_test

import (
	"fmt"

	"vialwise/doseresp"
	"vialwise/doseresp/mixture"
)

// A tenth of the mites or so survive the doses that kill every susceptible
// one, while the LC50 has hardly moved. The counts are invented.
func ExampleBaseline_Fit() {
	baseline := []doseresp.Container{
		{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 2, Exposed: 20, Dead: 1}, {Dose: 4, Exposed: 20, Dead: 3},
		{Dose: 8, Exposed: 20, Dead: 9}, {Dose: 16, Exposed: 20, Dead: 15}, {Dose: 32, Exposed: 20, Dead: 18}, {Dose: 64, Exposed: 20, Dead: 20},
	}
	field := []doseresp.Container{
		{Dose: 0, Exposed: 20, Dead: 1}, {Dose: 4, Exposed: 10, Dead: 1}, {Dose: 8, Exposed: 10, Dead: 4}, {Dose: 16, Exposed: 10, Dead: 7},
		{Dose: 85, Exposed: 30, Dead: 26}, {Dose: 170, Exposed: 30, Dead: 27},
	}
	b, err := mixture.NewBaseline([][]doseresp.Container{baseline}, mixture.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := b.Fit(field)
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := r.Posterior.Limits(0.95)
	fmt.Printf("q %.2f, profile limits %.2f to %.2f\n", r.Fraction.Estimate, r.Fraction.Lower, r.Fraction.Upper)
	fmt.Printf("posterior %.2f, %.2f to %.2f\n", limits.Estimate, limits.Lower, limits.Upper)
	fmt.Printf("one-sided P = %.4f\n", r.Test.P)
	// Output:
	// q 0.13, profile limits 0.04 to 0.54
	// posterior 0.14, 0.06 to 0.32
	// one-sided P = 0.0022
}
