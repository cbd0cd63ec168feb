package plots

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
)

// Survivors is the picture of a beekeeper's note: of 100 mites, how many would
// likely survive an acaricide, with the doubt. Each row draws 100 mites: dark and
// whole those that survive, striped those in doubt, pale and crossed those that
// die. Dark, striped ones included, is the likely number, and the key says so. All texts are the
// caller's, in the language of the note.
type Survivors struct {
	Caption // of the default width it stands alone; a Sheet sets it among its text
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
type SurvivorsWords struct{ Survive, LikelySurvive, LikelyDie, Die string }

// mitesShown is the number of mites of a row.
const mitesShown = 100

func (s Survivors) withTexts(do func(string) string) Figure {
	s.Caption = s.Caption.withTexts(do)
	s.Rows = append([]SurvivorsRow(nil), s.Rows...)
	for i := range s.Rows {
		s.Rows[i].Name, s.Rows[i].Caption = do(s.Rows[i].Name), do(s.Rows[i].Caption)
	}
	s.Words = SurvivorsWords{do(s.Words.Survive), do(s.Words.LikelySurvive), do(s.Words.LikelyDie), do(s.Words.Die)}
	return s
}

// filled returns the words with English ones for those that are empty.
func (w SurvivorsWords) filled() SurvivorsWords {
	return SurvivorsWords{
		cmp.Or(clean(w.Survive), "survive"), cmp.Or(clean(w.LikelySurvive), "likely survive"),
		cmp.Or(clean(w.LikelyDie), "likely die"), cmp.Or(clean(w.Die), "die"),
	}
}

func (s Survivors) words() (name, description string) {
	say := make([]string, len(s.Rows))
	for i, r := range s.Rows {
		say[i] = r.say()
	}
	subject := s.name("Of 100 mites, how many would survive")
	return subject, s.tell(subject, say...)
}

// say tells a row: its caption, with the name where the caption lacks it.
func (r SurvivorsRow) say() string {
	name, caption := clean(r.Name), clean(r.Caption)
	if caption == "" {
		caption = strconv.Itoa(r.Likely) + " of 100, perhaps " + strconv.Itoa(r.Low) + " to " + strconv.Itoa(r.High)
	}
	if name == "" || strings.Contains(caption, name) {
		return caption
	}
	return name + ": " + caption
}

func (s Survivors) check() error {
	if len(s.Rows) == 0 {
		return fmt.Errorf("plots: a picture of survivors without a row: give at least one")
	}
	for i, r := range s.Rows {
		if !(0 <= r.Low && r.Low <= r.Likely && r.Likely <= r.High && r.High <= mitesShown) {
			return fmt.Errorf("plots: row %d of the survivors: %d, %d to %d of 100: give numbers from 0 to 100 in the order low, likely, high",
				i+1, r.Likely, r.Low, r.High)
		}
	}
	return nil
}

// page sets the picture alone, such as for a page of HTML: larger than the text
// of other figures, since beekeepers read it.
func (s Survivors) page() (page, error) {
	if err := s.check(); err != nil {
		return page{}, err
	}
	w := s.width()
	inner := w - 2*margin
	if inner < 2*minData || s.Height < 0 {
		return page{}, errNoRoom(w, s.Height, "has no room for its text", "use the default size")
	}
	size := min(11, max(titleSize, inner/26))
	header := s.standingHeader(inner, size)
	l := s.layOut(inner, size, 1, room)
	mark := fitBlock(clean(s.Mark), inner, footSize, footSize, false, maxMark)
	high := 2*margin + l.height + mark.height()
	for _, b := range header {
		high += b.height()
	}
	if len(header) > 0 {
		high += size * 0.4
	}
	if s.Height != 0 && s.Height < high {
		return page{}, errNoRoom(w, s.Height, "has no room for its rows", "leave the height to the figure")
	}
	high = max(high, s.Height)
	return page{w, high, func(p pen) {
		top := high - margin
		for _, b := range header {
			top = p.writeBlock(b, ink, margin, top, atStart)
		}
		l.draw(p, margin, margin+mark.height()+l.height)
		p.writeBlock(mark, text, margin, margin+mark.height(), atStart)
	}}, nil
}

// standingHeader is the header of a picture that stands alone.
func (s Survivors) standingHeader(limit, size vg.Length) []block {
	var out []block
	if t := clean(s.Title); t != "" {
		out = append(out, setBlock(t, limit, size*1.15, true, room))
	}
	for _, t := range []string{clean(s.Subtitle), clean(s.Note)} {
		if t != "" {
			out = append(out, setBlock(t, limit, size, false, room))
		}
	}
	return out
}
