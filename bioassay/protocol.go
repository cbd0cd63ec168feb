package bioassay

import "slices"

// Protocol is a way of testing mites, agreed on under a name. Two results
// compare only when their protocols do.
type Protocol struct {
	Name          string // as in the column protocol
	Title         string
	Surface       string // what the mites touch or breathe, in words
	Series        SeriesKind
	Unit          string   // of what the series varies
	PPM           PPM      // what a bare ppm means under this protocol
	ExposureHours Optional // time in the treated container; absent when the protocol leaves it open
	ReadingHours  Optional // time from the start to the reading; absent when it leaves it open
	Death         string   // when a mite is called dead, in words
	Moribund      Moribund
	RuleSets      []string // names of the rule sets that apply, see Programme.Rules
	Minimum       MinimumMites
	Container     Quantities // what one container holds, where known; lets units be converted
	Source        string
}

// MinimumMites are the numbers that a protocol asks for itself. Zero leaves the
// number to the rule sets.
type MinimumMites struct {
	PerConcentration int
	InAll            int // over all treated containers
}

// SeriesKind says what differs between the treated containers of an assay.
type SeriesKind uint8

// The kinds of series.
const (
	SeriesConcentration SeriesKind = iota // several concentrations, one exposure
	SeriesExposureTime                    // one source, several exposure times in the column concentration
	SeriesSingle                          // one discriminating concentration
)

var seriesNames = [...]string{SeriesConcentration: "concentration", SeriesExposureTime: "exposure-time", SeriesSingle: "single"}

// String returns the name of the kind as programme files spell it.
func (s SeriesKind) String() string { return seriesNames[s] }

// SeriesKinds lists every kind, in the order of their constants.
func SeriesKinds() []SeriesKind {
	return []SeriesKind{SeriesConcentration, SeriesExposureTime, SeriesSingle}
}

// PPM is what "ppm" means, which the letters do not tell.
type PPM uint8

// The meanings of ppm.
const (
	PPMUnknown  PPM = iota
	PPMByMass       // w/w, ug/g
	PPMByVolume     // w/v, ug/mL
)

var ppmNames = [...]string{PPMUnknown: "", PPMByMass: "w/w", PPMByVolume: "w/v"}

// String returns "w/w", "w/v" or nothing.
func (p PPM) String() string { return ppmNames[p] }

// Programme is what a testing programme has agreed on: its protocols, its rule
// sets and its recorded decisions.
type Programme struct {
	Name      string
	Digest    string // SHA-256 of the file that it was read from, blank for the built-in one
	Protocols []Protocol
	RuleSets  []RuleSet
	Fallback  []string // rule sets for assays that name no known protocol
	Overrides []Override
	Calendar  *Calendar // of its own, nil where it leaves it to the hemisphere of the apiaries

	Map        MapSettings
	Note       NoteSettings
	Authorised *AuthorisedActives // nil without a list
}

// Protocol returns the protocol of a name.
func (p *Programme) Protocol(name string) (Protocol, bool) {
	i := slices.IndexFunc(p.Protocols, func(q Protocol) bool { return q.Name == name })
	if i < 0 {
		return Protocol{}, false
	}
	return p.Protocols[i], true
}

// RuleSet returns the rule set of a name.
func (p *Programme) RuleSet(name string) (RuleSet, bool) {
	i := slices.IndexFunc(p.RuleSets, func(r RuleSet) bool { return r.Name == name })
	if i < 0 {
		return RuleSet{}, false
	}
	return p.RuleSets[i], true
}

// Standard is what one assay is held to.
type Standard struct {
	Protocol *Protocol // nil when the assay names none that the programme knows
	Rules    RuleSet
	Known    []string // names of the programme's protocols
}

// Standard returns what an assay is held to: its protocol, if the programme
// knows it, and the rule sets of that protocol or else the fallback ones. It
// panics where a rule set does not exist or two of them overlap, which reading
// a programme excludes.
func (p *Programme) Standard(a Assay) Standard {
	s := Standard{}
	for _, q := range p.Protocols {
		s.Known = append(s.Known, q.Name)
	}
	names := p.Fallback
	if q, ok := p.Protocol(a.Protocol); ok {
		s.Protocol, names = &q, q.RuleSets
	}
	rules, err := p.Rules(names)
	if err != nil {
		panic("bioassay: " + err.Error())
	}
	s.Rules = rules
	return s
}
