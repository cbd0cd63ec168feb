package advice

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay"
)

// mostWordsOfMany holds for up to six tested acaricides.
const mostWordsOfMany = 360

var actives = []string{"acrinathrin", "amitraz", "coumaphos", "flumethrin", "formic acid", "oxalic acid", "tau-fluvalinate", "thymol", "borax"}

func drawRange(t *rapid.T, name string, most float64) Range {
	if !rapid.Bool().Draw(t, name+" known") {
		return Range{}
	}
	x := []float64{rapid.Float64Range(0, most).Draw(t, name), rapid.Float64Range(0, most).Draw(t, name), rapid.Float64Range(0, most).Draw(t, name)}
	low, high := math.Min(x[0], x[1]), math.Max(x[0], x[1])
	if rapid.IntRange(0, 9).Draw(t, name+" unbounded") == 0 {
		high = math.Inf(1)
		if most <= 100 {
			high = most
		}
	}
	return KnownRange(math.Max(low, math.Min(x[2], high)), low, high)
}

func drawFinding(t *rapid.T, active string) Finding {
	f := Finding{
		Acaricide: active, Mites: rapid.IntRange(0, 400).Draw(t, "mites"),
		Protocol: rapid.SampledFrom([]string{"", "vial-residue", "strip-jar"}).Draw(t, "protocol"),
		TestedOn: rapid.SampledFrom([]bioassay.Date{{}, testDay, oldDay}).Draw(t, "day"),
		RR50:     drawRange(t, "RR50", 20), RR90: drawRange(t, "RR90", 20), Survivors: drawRange(t, "survivors", 100),
		Minority: Minority{Fraction: drawRange(t, "q", 1), P: rapid.Float64Range(0, 1).Draw(t, "P")},
		Trend:    Trend(rapid.IntRange(0, 4).Draw(t, "trend")),
		Quality:  Quality{Discarded: rapid.IntRange(0, 4).Draw(t, "discarded") == 0, Reason: "controls-failed"},
	}
	f.Variation.Fold = rapid.SampledFrom([]float64{0, 2.6, 5}).Draw(t, "fold")
	f.Fold90 = rapid.SampledFrom([]float64{0, 1.5, 10}).Draw(t, "fold at LC90")
	if rapid.Bool().Draw(t, "single") {
		f.Single = Single{Exposed: 40, Survivors: 3, Survival: drawRange(t, "survival", 1), SusceptibleUpTo: 0.02, ResistantAbove: 0.1}
	}
	if rapid.Bool().Draw(t, "bands") {
		p := rapid.Float64Range(0, 1).Draw(t, "low")
		f.Bands = Bands{List: []Band{{"low", true, p}, {"high", false, 1 - p}}}
	}
	return f
}

func drawContext(t *rapid.T) Context {
	answer := rapid.SampledFrom([]bioassay.Answer{bioassay.Unanswered, bioassay.No, bioassay.Yes})
	c := harbour()
	c.Language = rapid.SampledFrom(Languages()).Draw(t, "language")
	c.Protocol = rapid.SampledFrom([]string{"", "vial-residue"}).Draw(t, "programme")
	c.Brood, c.Supers, c.Temperature = answer.Draw(t, "brood"), answer.Draw(t, "supers"), drawRange(t, "temperature", 30)
	c.Authorised = Authorised{}
	for _, a := range rapid.SliceOfNDistinct(rapid.SampledFrom(actives), 0, 9, rapid.ID[string]).Draw(t, "list") {
		c.Authorised.Actives = append(c.Authorised.Actives, Active{
			Acaricide: a, NotWithSupers: rapid.Bool().Draw(t, "with"), NeedsNoBrood: rapid.Bool().Draw(t, "needs"),
			Temperature: drawRange(t, "allowed", 30), Other: rapid.SampledFrom([]string{"", "", "with a permit"}).Draw(t, "other"),
		})
	}
	c.Treatments = nil
	for range rapid.IntRange(0, 3).Draw(t, "treatments") {
		c.Treatments = append(c.Treatments, Treatment{
			Acaricide: rapid.SampledFrom(actives).Draw(t, "used"), Efficacy: drawRange(t, "efficacy", 100), Brood: answer.Draw(t, "then"),
			On: rapid.SampledFrom([]bioassay.Date{{}, day(2030, 7, 1), day(2030, 9, 3)}).Draw(t, "on"),
		})
	}
	return c
}

// TestProperty demands of random notes what the grid demands, with the readings
// that the note itself gives; these must rest on what they claim.
func TestProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var findings []Finding
		for _, a := range rapid.SliceOfNDistinct(rapid.SampledFrom(actives), 0, 6, rapid.ID[string]).Draw(t, "tested") {
			findings = append(findings, drawFinding(t, a))
		}
		c := drawContext(t)
		note, err := Write(findings, c)
		if err != nil {
			t.Fatal(err)
		}
		expected := make([]expectation, len(findings))
		for _, o := range note.Read {
			expected[o.Finding] = expectation{findings[o.Finding], o.Reading}
			demandGround(t, findings[o.Finding], c, o.Reading)
		}
		demand(t, expected, c, note)
		if words := note.Words(); words > mostWordsOfMany {
			t.Fatalf("%d words", words)
		}
	})
}

// demandGround checks that a reading rests on limits.
func demandGround(t *rapid.T, f Finding, c Context, r Reading) {
	fold := f.Variation.Fold
	ratio := fold > 0 && f.RR50.Known
	q := f.Minority.Fraction.Known && f.Minority.Fraction.Lower > 0 && f.Minority.P < 0.05
	tail := fold > 0 && f.RR90.Known && f.RR90.Lower > max(fold, f.Fold90)
	lowest := len(f.Bands.List) > 0 && f.Bands.List[0].Probability > 0.5 // see drawFinding
	single := f.Single.Exposed > 0 && f.Single.Survival.Known
	ok := true
	switch r {
	case Resistant:
		ok = ratio && f.RR50.Lower > fold && !lowest || !ratio && single && f.Single.Survival.Lower > 0.1
	case Some:
		ok = q || tail || ratio && f.RR50.Lower > fold && lowest || single && f.Single.Survival.Lower > 0.1
	case Susceptible, Raised:
		ok = !q && !tail && (ratio && f.RR50.Upper <= fold || !ratio && (single && f.Single.Survival.Upper <= 0.02 || fold > 0 && f.RR90.Known && f.RR90.Upper <= fold))
	case Discarded:
		ok = f.Quality.Discarded
	case Foreign:
		ok = c.Protocol != "" && f.Protocol != c.Protocol
	}
	if !ok || f.Quality.Discarded && r != Discarded {
		t.Fatalf("reading %v of %+v", r, f)
	}
}
