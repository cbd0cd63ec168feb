package advice

import (
	"cmp"
	"math"
	"slices"
)

// Picture is one row of the picture: of 100 mites, how many would likely
// survive, with the doubt.
type Picture struct {
	Acaricide string // as the note writes it
	Likely    int    // of 100
	Low, High int    // of 100, rounded outwards
	Caption   string // what the row shows, also its text for those who cannot see it
}

// mostPictures is the number of rows that a page holds.
const mostPictures = 3

// pictures draws the usable findings with expected survivors, the highest
// number of survivors first.
func pictures(s *situation, words *Catalogue) []Picture {
	var out []Picture
	for _, j := range s.judged {
		if j.idle() || j.doubt == disagree || !j.Survivors.bounded() {
			continue
		}
		p := Picture{
			Acaricide: words.active(j.common),
			Likely:    int(math.Round(j.Survivors.Estimate)),
			Low:       int(math.Floor(j.Survivors.Lower)),
			High:      int(math.Ceil(j.Survivors.Upper)),
		}
		p.Likely = min(max(p.Likely, p.Low), p.High)
		p.Caption = words.text("picture-row", p.Likely, args{
			"active": activeOf(j.common), "n": number(p.Likely), "low": number(p.Low), "high": number(p.High),
		})
		out = append(out, p)
	}
	slices.SortStableFunc(out, func(a, b Picture) int { return cmp.Compare(b.Likely, a.Likely) })
	return out[:min(len(out), mostPictures)]
}
