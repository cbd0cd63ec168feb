package plots

// Survivors is the picture of a beekeeper's note: of 100 mites, how many would
// likely survive an acaricide, with the doubt. Each row draws 100 mites: dark and
// whole those that survive, striped those in doubt, pale and crossed those that
// die. All texts are the caller's, in the language of the note.
type Survivors struct {
	Caption // of the default width it stands alone; a note sets it among its text
	Rows    []SurvivorsRow
	Words   SurvivorsWords
}

// SurvivorsRow is the picture of one acaricide.
type SurvivorsRow struct {
	Name      string // set bold above the caption; empty where the caption says it
	Likely    int    // of 100
	Low, High int    // of 100, the ends of the doubt
	Caption   string // what the row shows, also its text for those who cannot see it
}

// SurvivorsWords are the words of the key; empty ones are English.
type SurvivorsWords struct{ Survive, Doubt, Die string }
