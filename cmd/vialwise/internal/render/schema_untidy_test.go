package render

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

// untidy draws an assay such as no planner would draw up.
func untidy(rng *rand.Rand, name string) bioassay.Assay {
	a := bioassay.Assay{Name: name}
	pattern := rng.IntN(7)
	doses := rng.IntN(7)
	scale := math.Pow(10, float64(rng.IntN(25)-12))
	for i := range doses + 1 { // the first is a control, in two of three assays
		if i == 0 && rng.IntN(3) == 0 {
			continue
		}
		for range 1 + rng.IntN(3) {
			c := bioassay.Container{Concentration: float64(i) * scale, Exposed: rng.IntN(16)}
			c.Missing = rng.IntN(c.Exposed/4 + 1)
			switch atRisk := c.AtRisk(); pattern {
			case 0: // all dead
				c.Dead = atRisk
			case 1: // none dead
			case 2: // mortality falls with dose
				c.Dead = atRisk * (doses - i) / (doses + 1)
			case 3: // a step
				if i > doses/2 {
					c.Dead = atRisk
				}
			case 4: // a rise, roughly
				c.Dead = min(atRisk, rng.IntN(3)+atRisk*i/(doses+1))
			case 5: // one rate at every dose
				c.Dead = atRisk / 2
			default: // noise
				c.Dead = rng.IntN(atRisk + 1)
			}
			c.Moribund = rng.IntN(c.AtRisk() - c.Dead + 1)
			a.Containers = append(a.Containers, c)
		}
	}
	return a
}

// awkward are assays whose status or limits chance seldom draws.
func awkward() []bioassay.Assay {
	count := func(name string, rows ...[3]float64) bioassay.Assay {
		a := bioassay.Assay{Name: name}
		for _, r := range rows {
			a.Containers = append(a.Containers, bioassay.Container{Concentration: r[0], Exposed: int(r[1]), Dead: int(r[2])})
		}
		return a
	}
	return []bioassay.Assay{
		{Name: "no container"},
		count("no treated", [3]float64{0, 20, 1}),
		count("one dose", [3]float64{0, 20, 1}, [3]float64{2, 20, 9}),
		count("all containers empty", [3]float64{0, 0, 0}, [3]float64{1, 0, 0}, [3]float64{2, 0, 0}),
		count("all dead", [3]float64{1, 9, 9}, [3]float64{2, 9, 9}),
		count("none dead", [3]float64{1, 9, 0}, [3]float64{2, 9, 0}),
		count("every control dead", [3]float64{0, 9, 9}, [3]float64{1, 9, 9}, [3]float64{2, 9, 9}),
		count("separated", [3]float64{1, 9, 0}, [3]float64{2, 9, 9}),
		count("no slope", [3]float64{1, 10, 5}, [3]float64{2, 10, 5}),
		count("falling", [3]float64{1, 10, 8}, [3]float64{2, 10, 3}),
		count("excluded region", [3]float64{1, 20, 5}, [3]float64{2, 20, 7}, [3]float64{4, 20, 8}),
		count("nearly flat: LC10 is 0 and LC90 infinite in a double",
			[3]float64{1, 1e6, 500_000}, [3]float64{1.1, 1e6, 500_020}),
		count("smallest doses", [3]float64{1e-15, 20, 5}, [3]float64{2e-15, 20, 7}, [3]float64{4e-15, 20, 18}),
		count("largest doses", [3]float64{1e14, 20, 5}, [3]float64{5e14, 20, 7}, [3]float64{1e15, 20, 18}),
	}
}

// TestSchemaHoldsForUntidyAssays draws 200 assays and adds the awkward ones,
// some of them with every set of limits, and checks that every status and every common kind of limits was among them.
func TestSchemaHoldsForUntidyAssays(t *testing.T) {
	t.Parallel()
	s := schema(t)
	rng := rand.New(rand.NewPCG(2018, 250))
	assays := awkward()
	for range 200 {
		assays = append(assays, untidy(rng, "untidy"))
	}
	statuses, kinds := map[doseresp.Status]int{}, map[doseresp.LimitKind]int{}
	models := everyModel()
	for i, assay := range assays {
		for _, moribund := range []bioassay.Moribund{bioassay.MoribundDead, bioassay.MoribundAlive} {
			for range 3 {
				o := bioassay.AnalysisOptions{Fit: models[rng.IntN(len(models))], Moribund: moribund}
				if a := assay.Exposed(); a < 1000 && (rng.IntN(20) == 0 || i < len(awkward()) && rng.IntN(2) == 0) {
					o.Limits = bioassay.LimitSets{Profile: true, Posterior: true, Bootstrap: true}
					o.Replicates, o.Exceeds = 200, []float64{1}
				}
				a, err := bioassay.Analyse(assay, o)
				if errors.Is(err, doseresp.ErrAbbott) {
					continue // every control died: refused, so nothing is written
				}
				if err != nil {
					t.Fatalf("assay %d, %+v: %v", i, assay, err)
				}
				f := &Fits{Version: "0.0.0", Options: o, Analyses: []*bioassay.Analysis{a}}
				if err := s.Validate(instance(t, rendered(t, f, "json"))); err != nil {
					t.Errorf("assay %d, %+v\n%+v: %v", i, assay, o, err)
				}
				statuses[a.Fit.Status]++
				for _, lc := range a.Fit.LC {
					kinds[lc.Fiducial.Kind]++
				}
			}
		}
	}
	for _, status := range doseresp.Statuses() {
		if statuses[status] == 0 {
			t.Errorf("no assay was %v", status)
		}
	}
	for _, kind := range []doseresp.LimitKind{doseresp.Bounded, doseresp.Unbounded, doseresp.ExcludedRegion} {
		if kinds[kind] == 0 {
			t.Errorf("no limits were %v", kind)
		}
	}
}

// TestSchemaHoldsForEveryKind sets the limits of a result, for those open on
// one side hardly ever come from counts.
func TestSchemaHoldsForEveryKind(t *testing.T) {
	s := schema(t)
	f := analysed(t, named("x"), defaults("json"))
	limits := &f.Analyses[0].Fit.LC[0].Fiducial
	inf := math.Inf(1)
	for _, l := range []doseresp.Limits{
		{Lower: 1, Upper: 2, Kind: doseresp.Bounded},
		{Lower: 1, Upper: inf, Kind: doseresp.UnboundedAbove},
		{Lower: 0, Upper: 2, Kind: doseresp.UnboundedBelow},
		{Lower: 0, Upper: inf, Kind: doseresp.Unbounded},
		{Lower: 0, Upper: inf, Kind: doseresp.ExcludedRegion, Excluded: doseresp.Bracket{Lower: 1, Upper: 2}},
		{Lower: 0, Upper: inf, Kind: doseresp.ExcludedRegion, Excluded: doseresp.Bracket{Lower: 0, Upper: inf}},
		{Lower: 0, Upper: inf, Kind: doseresp.ExcludedRegion, Excluded: doseresp.Bracket{Lower: 0, Upper: 0}},
	} {
		*limits = l
		if err := s.Validate(instance(t, rendered(t, f, "json"))); err != nil {
			t.Errorf("%+v: %v", l, err)
		}
	}
}
