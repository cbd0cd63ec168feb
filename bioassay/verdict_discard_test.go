package bioassay

import (
	"slices"
	"strings"
	"testing"
)

func against() Override {
	o := decision()
	o.Code, o.Discards, o.Event, o.Origin = NotBlind, true, 7, Origin{}
	return o
}

// TestDecidedAgainst: a person can rest no claim on an assay that no rule
// discards, and nothing else lifts that.
func TestDecidedAgainst(t *testing.T) {
	a := sound()
	p := &Programme{Protocols: []Protocol{*testStandard().Protocol}, RuleSets: []RuleSet{testStandard().Rules}, Overrides: []Override{against()}}
	p.RuleSets[0].Name, p.Protocols[0].RuleSets, p.Fallback = "all", []string{"all"}, []string{"all"}
	v := p.Judge(a, nil)
	if v.Usable || len(v.Reasons) != 1 || len(v.Lifted) != 0 || v.Reasons[0].Code != DecidedAgainst {
		t.Fatalf("%+v", v)
	}
	if want := "on 2031-06-02 J. Doe decided to rest no claim on the assay, for the finding not-blind: one vial dried out"; v.Reasons[0].Message != want {
		t.Errorf("%q", v.Reasons[0].Message)
	}
	kept := against()
	kept.Code, kept.Discards = DecidedAgainst, false
	p.Overrides = append(p.Overrides, kept)
	if v := p.Judge(a, nil); v.Usable {
		t.Errorf("another override lifted a decision: %+v", v)
	}
}

// TestDecidedAgainstBesideKeep: a lifted finding does not lift the decision, in
// whatever order they stand, and Settle leaves both as they are.
func TestDecidedAgainstBesideKeep(t *testing.T) {
	a, p := failed()
	for _, list := range [][]Override{{decision(), against()}, {against(), decision()}} {
		p.Overrides = list
		verdicts := []Verdict{p.Judge(a, nil), p.Judge(a, nil)}
		p.Settle(verdicts)
		for _, v := range verdicts {
			if !slices.Contains(codesOf(v.Reasons), DecidedAgainst) || v.Usable {
				t.Errorf("%+v", v)
			}
		}
	}
	// A namesake leaves it open which of the two was meant. Then neither carries a claim.
	p.Overrides = []Override{against()}
	if v := p.Judge(a, nil, Finding{Severity: Doubt, Warning: Warning{Code: SameName}}); !slices.Contains(codesOf(v.Reasons), DecidedAgainst) {
		t.Errorf("%+v", v)
	}
}

// TestIdleDecision: a decision of a registry that lifts nothing speaks of the
// registry and not of a file; one that lacks its reason discards nothing.
func TestIdleDecision(t *testing.T) {
	a, p := failed()
	idle := decision()
	idle.Code, idle.Event = DosesReversed, 7
	p.Overrides = []Override{idle}
	v := p.Judge(a, nil)
	i := slices.IndexFunc(v.Findings, func(f Finding) bool { return f.Code == IdleOverride })
	if i < 0 || !strings.HasPrefix(v.Findings[i].Message, "the decision of event 7 in the registry lifts nothing: ") {
		t.Errorf("%+v", v.Findings)
	}
	bare := against()
	bare.Why = ""
	p.Overrides = []Override{bare}
	if v := p.Judge(a, nil); slices.Contains(codesOf(v.Reasons), DecidedAgainst) || !slices.Contains(codesOf(v.Findings), IdleOverride) {
		t.Errorf("%+v", v)
	}
}
