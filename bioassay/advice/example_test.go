package advice_test

import (
	"fmt"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
)

// The apiary and its figures are invented.
func Example() {
	fold := advice.Variation{Fold: 5, Basis: bioassay.Basis{Name: "fold-bands", Source: "WHO, from memory", Borrowed: "mosquitoes"}}
	note, err := advice.Write([]advice.Finding{
		{Acaricide: "amitraz", TestedOn: bioassay.Date{Year: 2031, Month: 4, Day: 9}, Mites: 90, RR50: advice.KnownRange(14, 9, 21), Variation: fold},
	}, advice.Context{
		Date: bioassay.Date{Year: 2031, Month: 5, Day: 2}, Apiary: "Pier", Language: "en",
		Authorised: advice.Authorised{Actives: []advice.Active{{Acaricide: "amitraz"}, {Acaricide: "oxalic acid", NeedsNoBrood: true}}},
		Brood:      bioassay.No,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range note.Section(advice.SectionFound).Statements {
		fmt.Println(s.Text)
	}
	for _, o := range note.Options {
		fmt.Println("option:", o.Acaricide)
	}
	for _, r := range note.Explain() {
		if r.Rule == "found-resistant" {
			fmt.Print(r)
		}
	}
	// Output:
	// Your mites resist amitraz. They no longer die as they should.
	// option: oxalic acid
	// Your mites resist amitraz. They no longer die as they should.
	//   rule found-resistant: the lower limit of the ratio lies above what susceptible mites vary by and the ratio is not likelier in the lowest band, or that of the survival at one concentration above the resistant class, and nothing contradicts it
	//   source: Robertson & Preisler 1992 (limits of the ratio), beside the baseline's predictive limits or a named rule set
	//   finding 1, amitraz, is resistant: RR50 14 (9 to 21) against a variation of 5
}
