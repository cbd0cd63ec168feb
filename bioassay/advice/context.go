package advice

import "vialwise/bioassay"

// Context is what is known about the hives and the programme around a note.
type Context struct {
	Date     bioassay.Date // of the note; required
	Apiary   string        // code or name, as it stands on the note
	Protocol string        // of the programme; blank accepts every protocol
	Language string        // such as "en"; see Languages

	Treatments   []Treatment // of the last 12 months
	Brood        bioassay.Answer
	Supers       bioassay.Answer // honey supers on the hives
	Temperature  Range           // expected outdoor temperatures in °C; only the limits count
	Authorised   Authorised
	Contact      string // the programme's contact line
	Version      string // of the program
	Invented     bool   // the data are, and the note says so at its end
	StaleMonths  int    // age at which a result is old; 0 means defaultMonths
	RetestMonths int    // from the note to the next test; 0 means defaultMonths

	Catalogue *Catalogue // of a language that does not come with the program; nil otherwise
}

// defaultMonths is how long a result is fresh, and the time to the next test,
// where the programme sets nothing: one yearly round (common practice).
const defaultMonths = 12

// Treatment is a treatment that the hives had.
type Treatment struct {
	Acaricide string
	On        bioassay.Date   // zero when not known; such a treatment may be the last
	Efficacy  Range           // in percent of the mites, where it was measured
	Brood     bioassay.Answer // whether there was brood
}

// Authorised is the programme's list of actives that are authorised where the
// hives stand.
type Authorised struct {
	On      bioassay.Date // of the list
	Actives []Active
}

// Active is an authorised active with the conditions that the list sets.
type Active struct {
	Acaricide     string
	NotWithSupers bool
	NeedsNoBrood  bool
	Temperature   Range  // in °C, within which the list allows it; only the limits count
	Other         string // a further condition in the words of the list
}
