package doseresp

import (
	"math"
	"testing"
)

// TestDispersionByHand: a level line at 1/5 through containers of 10 with 1 and
// 4 dead, and a control at C = 0 without a death: s is 3/5 × (-1)/1.6,
// 3/5 × 2/1.6, and -1.
func TestDispersionByHand(t *testing.T) {
	var d design
	d.summarise([]Container{{0, 10, 0}, {1, 10, 1}, {2, 10, 4}})
	m := model{design: &d, freeC: true}
	sum, units := m.skew(params{a: Probit.Quantile(0.2)}, &Result{})
	if units != 3 {
		t.Errorf("%d units", units)
	}
	closeTo(t, "skew", sum, -0.625, exactly)
	x := Dispersion{X2: 12, DF: 4, Units: 8, Skew: -2}
	h := x.Heterogeneity(WhenAboveOne)
	if !h.Applied {
		t.Error("not applied above 1")
	}
	closeTo(t, "H", h.H, 4, exactly) // 3/(1 - 1/4)
	if h := x.Heterogeneity(Never); h.Applied || h.Factor() != 1 {
		t.Errorf("applied under never: %+v", h)
	}
	if h := x.Heterogeneity(WhenSignificant); !h.Applied { // P(X² > 12) = 0.017
		t.Error("not applied where significant")
	}
	// P(X² > 5) = 0.29 with 4 df: not significant, though H is above 1.
	if h := (Dispersion{X2: 5, DF: 4, Units: 8, Skew: -2}).Heterogeneity(WhenSignificant); h.Applied {
		t.Error("applied where not significant")
	}
	if h := (Dispersion{X2: 3.2, DF: 4, Units: 8, Skew: -2}).Heterogeneity(WhenAboveOne); !h.Applied {
		t.Error("0.8/0.75 is above 1 and not applied")
	}
	if h := (Dispersion{}).Heterogeneity(WhenAboveOne); h.Applied || !math.IsNaN(h.H) {
		t.Errorf("nothing has a factor: %+v", h)
	}
	closeTo(t, "H of containers that show nothing", Dispersion{X2: 4, DF: 4, Units: 8, Skew: -8}.Heterogeneity(WhenAboveOne).H, 1/leastWeight, exactly)
	closeTo(t, "sum", x.Plus(Dispersion{X2: 1, DF: 2, Units: 3, Skew: 4}).Skew, 2, exactly)
}

// TestSharedLogDose: without a factor it is LogDose under Never; with one of 4
// the standard error doubles, and the profile is that of its cut.
func TestSharedLogDose(t *testing.T) {
	assay := benchAssay()
	var f Fitter
	var r Result
	if err := f.Fit(assay, Options{}, &r); err != nil || r.Heterogeneity.Applied {
		t.Fatal(err, r.Heterogeneity)
	}
	plain := sideOf(t, assay, 90, Options{Heterogeneity: Never})
	if d := f.SharedLogDose(&r, 90, f.Dispersion(&r)); d != plain {
		t.Errorf("%+v, want %+v", d, plain)
	}
	large := Dispersion{X2: 4000, DF: 1000, Units: 1000}
	d := f.SharedLogDose(&r, 90, large)
	closeTo(t, "SE", d.SE, 2*plain.SE, exactly)
	if d.DF != 1000 || !d.shared {
		t.Errorf("df %d", d.DF)
	}
	// Level at which the normal quantile is twice t(1000): the same cut.
	q := 2 * StudentQuantile(0.975, 1000)
	o := Options{Heterogeneity: Never, Level: 1 - 2*Probit.Survival(q)}
	wide := sideOf(t, assay, 90, o)
	closeTo(t, "lower", d.Lower, wide.Lower, 1e-7)
	closeTo(t, "upper", d.Upper, wide.Upper, 1e-7)
	if none := f.SharedLogDose(&r, 90, Dispersion{X2: 1e30, DF: 1, Units: 1}); !math.IsInf(none.Lower, -1) || !math.IsInf(none.Upper, 1) {
		t.Errorf("limits of a hopeless factor: %+v", none)
	}
	// A fit whose own h is in its table: the shared factor takes its place.
	scattered := posteriorCases["scattered"]
	if err := f.Fit(scattered, Options{}, &r); err != nil || !r.Heterogeneity.Applied {
		t.Fatal(err, r.Heterogeneity)
	}
	closeTo(t, "SE of a fit with h", f.SharedLogDose(&r, 50, large).SE, 2*sideOf(t, scattered, 50, Options{Heterogeneity: Never}).SE, exactly)
	if err := f.Fit(series(20, 15, 10, 5), Options{}, &r); err != nil {
		t.Fatal(err)
	}
	if falling := f.SharedLogDose(&r, 50, large); !math.IsInf(falling.Upper, 1) || !math.IsNaN(falling.Estimate) {
		t.Errorf("falling: %+v", falling)
	}
}
