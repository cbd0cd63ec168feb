package notepage

import (
	"bytes"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/advice"
	"vialwise/plots"
)

// sample is the note of an invented harbour with much to say: five acaricides, a
// weak treatment and a picture.
func sample(t testing.TB, language string) advice.Page {
	t.Helper()
	day := bioassay.Date{Year: 2031, Month: 4, Day: 9}
	finding := func(active string, f advice.Finding) advice.Finding {
		f.Acaricide, f.Protocol, f.Reference, f.TestedOn, f.Mites = active, "vial-residue", "vial-residue", day, 72
		f.Variation = advice.Variation{Fold: 2.6, Own: true}
		return f
	}
	known := advice.KnownRange
	findings := []advice.Finding{
		finding("amitraz", advice.Finding{RR50: known(2.4, 0.9, 6.2), Survivors: known(18, 3, 47)}),
		finding("coumaphos", advice.Finding{RR50: known(1.3, 0.8, 2.1), Minority: advice.Minority{Fraction: known(0.15, 0.06, 0.28), P: 0.002}, Survivors: known(14, 6, 27)}),
		finding("flumethrin", advice.Finding{Quality: advice.Quality{Discarded: true, Reason: bioassay.ControlsFailed}}),
		finding("tau-fluvalinate", advice.Finding{RR50: known(14, 9, 21), Survivors: known(71, 58, 82), Trend: advice.TrendRising}),
		finding("thymol", advice.Finding{RR50: known(1.1, 0.7, 1.7), Survivors: known(1, 0, 3.2)}),
	}
	c := advice.Context{
		Date: bioassay.Date{Year: 2031, Month: 5, Day: 2}, Apiary: "Pier 7 <b>&", Language: language, Version: "test", Invented: true,
		Contact:    "Harbour Coast Mite Programme (invented), 555-0100",
		Treatments: []advice.Treatment{{Acaricide: "coumaphos", On: bioassay.Date{Year: 2030, Month: 9, Day: 3}, Efficacy: known(70, 61, 78), Brood: bioassay.Yes}},
		Authorised: advice.Authorised{On: day, Actives: []advice.Active{{Acaricide: "oxalic acid", NeedsNoBrood: true}, {Acaricide: "thymol", NotWithSupers: true}, {Acaricide: "formic acid", Other: "with a permit"}}},
	}
	n, err := advice.Write(findings, c)
	if err != nil {
		t.Fatal(err)
	}
	return n.Page()
}

func written(t testing.TB, p advice.Page, paper plots.Paper) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, p, paper, "test"); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestWrite: the page says its language and paper, holds every line, escapes what
// comes from outside, and fetches and runs nothing.
func TestWrite(t *testing.T) {
	for _, language := range advice.Languages() {
		p := sample(t, language)
		page := written(t, p, plots.Letter)
		for _, want := range []string{`<html lang="` + language + `">`, "@page{size:letter;", "Pier 7 &lt;b&gt;&amp;", "<strong>" + map[string]string{"en": "Invented data.", "es": "Datos inventados."}[language] + "</strong>", "default-src 'none'", "<svg", p.Picture.Heading} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: %q is not there", language, want)
			}
		}
		for _, b := range p.Blocks {
			for _, line := range b.Lines {
				if !strings.Contains(page, line) {
					t.Errorf("%s: %q is not there", language, line)
				}
			}
		}
		for _, never := range []string{"<script", "http://", "https://", "<b>&"} {
			if strings.Contains(strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""), never) {
				t.Errorf("%s: the page holds %q", language, never)
			}
		}
		if page != written(t, sample(t, language), plots.Letter) {
			t.Errorf("%s: the same note gives other bytes", language)
		}
	}
	if !strings.Contains(written(t, sample(t, "en"), plots.A4), "@page{size:A4;") {
		t.Error("the paper is not A4")
	}
}

// TestWriteWithoutPicture: a note on failed tests has no picture and no empty frame
// for one.
func TestWriteWithoutPicture(t *testing.T) {
	p := sample(t, "en")
	p.Picture = advice.PagePicture{}
	if page := written(t, p, plots.A4); strings.Contains(page, "<svg") || strings.Contains(page, `class="picture"`) {
		t.Error("there is a picture of nothing")
	}
	if err := Write(&bytes.Buffer{}, advice.Page{}, plots.A4, "test"); err == nil {
		t.Error("a note without a word was written")
	}
}

// TestSheet: the printed sheet holds the blocks of the page, what was found set off
// from the rest, in both languages and on both papers.
func TestSheet(t *testing.T) {
	for _, language := range advice.Languages() {
		for _, paper := range []plots.Paper{plots.A4, plots.Letter} {
			p := sample(t, language)
			s := Sheet(p, paper)
			if len(s.Blocks) != len(p.Blocks) || !s.Blocks[0].Strong || s.Blocks[1].Strong || s.Language != language || s.Paper != paper || s.Mark != p.Mark || s.Mark == "" || len(s.Picture.Rows) != len(p.Picture.Rows) {
				t.Errorf("%s: %+v", language, s)
			}
			var b bytes.Buffer
			if err := plots.Write(&b, s, plots.PDF); err != nil {
				t.Errorf("%s on %v: %v", language, paper, err)
			}
			if n := bytes.Count(b.Bytes(), []byte("/Type /Page\n")); n != 1 {
				t.Errorf("%s on %v: %d pages", language, paper, n)
			}
		}
	}
}

// TestWriteIndex: the index links every note, says who has none, and escapes.
func TestWriteIndex(t *testing.T) {
	var b bytes.Buffer
	entries := []Entry{{"A/1 <i>", "note-A-1.pdf", []string{"amitraz: resistant"}}, {"Ñ", "note-Ñ.pdf", nil}}
	if err := WriteIndex(&b, "2031-05-02", entries, []string{"apiary Z: no mites of it were tested"}, "test", "Invented data."); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`href="note-A-1.pdf"`, "A/1 &lt;i&gt;", "amitraz: resistant", "Without a note", "apiary Z", "not for sharing", "Invented data.", `href="note-%c3%91.pdf"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not there:\n%s", want, b.String())
		}
	}
}
