package bioassay

// Treatment is a treatment that the hives of an apiary had.
type Treatment struct {
	Apiary    string
	Acaricide string
	On        Date // zero when not recorded
	// Efficacy is the share of mites that it killed in the hives, in percent, where
	// it was measured.
	Efficacy, EfficacyLower, EfficacyUpper Optional
	Brood                                  Answer // whether there was brood
	Source                                 Origin
}

// Hives is how the hives of an apiary stand, as far as somebody asked.
type Hives struct {
	Apiary          string
	AskedOn         Date
	Brood           Answer
	Supers          Answer   // honey supers on the hives
	TemperatureLow  Optional // expected outdoors, °C
	TemperatureHigh Optional
	Source          Origin
}
