package bioassay

// MapSettings are what a programme has agreed on for its maps. Zero leaves a
// number to the defaults.
type MapSettings struct {
	SideKM  float64 // side of the smallest square
	Doubled int     // how often the largest square is twice as wide as the one below; -1 for never
	Fewest  int     // apiaries that an area must show
}

// NoteSettings are what a programme has agreed on for its notes to beekeepers.
// Zero and blank leave a setting to the defaults.
type NoteSettings struct {
	Contact      string // the line that tells whom to ask
	Language     string // such as "en"
	StaleMonths  int    // age at which a result is old
	RetestMonths int    // from the note to the next test
}

// AuthorisedActives is a programme's list of the actives that are authorised where
// its hives stand, as of a day.
type AuthorisedActives struct {
	On      Date
	Actives []AuthorisedActive
}

// AuthorisedActive is an active with the conditions that the list sets.
type AuthorisedActive struct {
	Acaricide       string
	NotWithSupers   bool
	NeedsNoBrood    bool
	TemperatureFrom Optional // °C
	TemperatureTo   Optional
	Other           string // a further condition in the words of the list
}
