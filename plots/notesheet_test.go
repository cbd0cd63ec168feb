package plots

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"vialwise/internal/needs"
)

// note is the longest of the invented notes of a harbour, in Spanish.
func note() Sheet {
	return Sheet{
		Language: "es", Title: "Sus varroas y qué hacer ahora", Subtitle: "Apiario Pier 7, 2 de mayo de 2031",
		Blocks: []SheetBlock{
			{"Lo que vimos", []string{
				"Sus varroas resisten a tau-fluvalinato.", "Una parte de sus varroas resiste a cumafós. Las demás todavía mueren.",
				"Sus varroas todavía mueren con timol.", "Todavía no podemos decir si sus varroas resisten a amitraz.",
				"La prueba con flumetrina falló. Murieron demasiadas varroas sin ningún tratamiento. No nos dice nada.",
			}, true},
			{"Con qué seguridad lo decimos", []string{
				"Estamos bastante seguros en el caso de tau-fluvalinato y timol.", "Que una parte resiste a cumafós no es casualidad.",
				"Con amitraz teníamos muy pocas varroas para saberlo.", "El límite de lo resistente se fijó para mosquitos.",
			}, false},
			{"Qué hacer ahora", []string{
				"Ahora no vemos una buena opción en nuestra lista. Hable con el inspector apícola antes de tratar.",
				"Envíenos al menos 280 varroas vivas más, para probar de nuevo amitraz y flumetrina.",
				"Tras cada tratamiento, lave otra vez abejas para ver si funcionó.",
			}, false},
			{"Qué no hacer", []string{
				"No use ahora cumafós ni tau-fluvalinato.", "Entre flumetrina y tau-fluvalinato no hay cambio. Son del grupo 3A.",
				"Nunca use más de lo que dice la etiqueta.",
			}, false},
			{"Tenga cuidado", []string{
				"Siga la etiqueta. Es la ley.", "Use el equipo que pide la etiqueta.", "Consulte a la autoridad local o al inspector apícola antes de tratar.",
				"Nuestra lista es del 15 de enero de 2031 y puede haber cambiado.", "Para la dosis y el momento, solo vale la etiqueta.",
			}, false},
			{"Cuándo hacer otra prueba", []string{"Hagamos una prueba en cuanto pueda juntar varroas vivas."}, false},
			{"¿Tiene dudas?", []string{"Harbour Coast Mite Programme (invented), 555-0100"}, false},
		},
		Picture: Survivors{
			Caption: Caption{Title: "De cada 100 varroas, ¿cuántas quedarían vivas?"},
			Rows: []SurvivorsRow{
				{Likely: 71, Low: 58, High: 82, Caption: "tau-fluvalinato: alrededor de 71, quizá de 58 a 82."},
				{Likely: 18, Low: 3, High: 47, Caption: "amitraz: alrededor de 18, quizá de 3 a 47."},
			},
			Words: SurvivorsWords{"quedan vivas", "quizá vivan", "quizá mueran", "mueren"},
		},
		PictureAfter: 1,
		SmallPrint: []string{
			"Prueba: varroas vivas en recipientes tratados, 360 varroas en total. Hecha el 9 de abril de 2031.",
			"Reglas: coast-baseline (predictive limits of six susceptible populations (invented)); fold-bands (WHO, from memory; borrowed from mosquitoes).",
			"Grupos: IRAC mode of action classification, from memory. Escrita con vialwise 0.5.0.",
		},
		Mark: "datos inventados",
	}
}

// shortNote has room to spare.
func shortNote() Sheet {
	s := note()
	s.Paper, s.Language, s.Title, s.Subtitle = Letter, "en", "Your varroa mites and what to do next", "Apiary Pier 7, 2 May 2031"
	s.Blocks = []SheetBlock{
		{"What we found", []string{"Your mites resist amitraz. They no longer die as they should."}, true},
		{"How sure we are", []string{"We are quite sure about amitraz. Even a very careful reading says the same."}, false},
		{"What to do next", []string{"For the next treatment, change to another group.", "After each treatment, wash some bees again and count the mites, to see whether it worked."}, false},
		{"Take care", []string{"Follow the label. It is the law.", "Check with your local authority or bee inspector before you treat."}, false},
	}
	s.Picture = survivors(SurvivorsRow{Likely: 71, Low: 58, High: 82, Caption: "amitraz: about 71, perhaps 58 to 82."})
	s.SmallPrint = s.SmallPrint[:1]
	return s
}

// sheets are pages of text.
func sheets() map[string]Figure {
	letter := note()
	letter.Paper = Letter
	full := letter // the most that a note holds
	full.Picture.Rows = append(full.Picture.Rows[:2:2], SurvivorsRow{Likely: 3, High: 9, Caption: "cumafós: alrededor de 3, quizá de 0 a 9."})
	full.Blocks = append([]SheetBlock(nil), full.Blocks...)
	full.Blocks[2].Lines = append(full.Blocks[2].Lines[:3:3], "Permitidos aquí, pero sin resultado para sus varroas: cumafós (grupo 1B), flumetrina (grupo 3A) o tau-fluvalinato (grupo 3A).")
	other := shortNote()
	other.Language, other.Title = "el", "Τα ακάρεα βαρρόα σας και τι να κάνετε"
	other.Blocks = append(other.Blocks, SheetBlock{"Клещи варроа", []string{"Соблюдайте указания на этикетке. Это закон."}, false})
	return map[string]Figure{"sheet": note(), "sheet-letter": letter, "sheet-full": full, "sheet-short": shortNote(), "sheet-greek": other, "sheet-empty": Sheet{}}
}

// textSize is the size of the lines of a page.
func textSize(t *testing.T, s Sheet) vg.Length {
	t.Helper()
	_, r := drawn(t, s)
	for _, l := range r.texts {
		if l.s == s.Blocks[0].Lines[0] {
			return l.face.Font.Size
		}
	}
	t.Fatal("the first line is not on the page")
	return 0
}

// filler is a block of n lines.
func filler(n int) SheetBlock {
	b := SheetBlock{Heading: "More"}
	for range n {
		b.Lines = append(b.Lines, "After each treatment, wash some bees again.")
	}
	return b
}

// A short page has 13 points. A longer one has smaller text, down to 11; beyond
// that it is refused, and the error says by how much it is too long.
func TestSheetFitsOrSaysSo(t *testing.T) {
	if got := textSize(t, shortNote()); got != largestText {
		t.Errorf("a short page at %g points, want %g", got, largestText)
	}
	s := shortNote()
	seen := map[vg.Length]bool{}
	last := largestText
	for n := range 60 {
		s.Blocks[3] = filler(n + 1)
		_, err := s.page()
		if err == nil {
			standClear(t, "a page of 11 to 13 points", s)
			got := textSize(t, s)
			if got > last {
				t.Errorf("%d lines are set larger, at %g points, than one line less, at %g", n+1, got, last)
			}
			seen[got], last = true, got
			continue
		}
		want := `plots: the page "Your varroa mites and what to do next" does not fit on one page: at 11 points it is `
		if !strings.HasPrefix(err.Error(), want) || !regexp.MustCompile(`is \d+ mm too long: shorten its text$`).MatchString(err.Error()) {
			t.Errorf("error %v", err)
		}
		if !seen[13] || !seen[11] || len(seen) != 5 {
			t.Errorf("sizes %v, want 13 to 11 in steps of 0.5", seen)
		}
		over := regexp.MustCompile(`(\d+) mm`).FindStringSubmatch(err.Error())[1]
		if n, err := strconv.Atoi(over); err != nil || n > 6 { // a line is 11 * 1.28 points, 5.0 mm
			t.Errorf("one line too many is %s mm too long", over)
		}
		return
	}
	t.Error("60 lines fit")
}

// Nothing overlaps or runs off the page, as wide as the font in the file sets it.
func TestSheetTextsStandClear(t *testing.T) {
	for name, s := range sheets() {
		standClear(t, name, s)
	}
}

func standClear(t *testing.T, name string, f Figure) {
	t.Helper()
	g, r := drawn(t, f)
	var boxes []textBox
	for _, l := range r.texts {
		a := boxOf(l)
		a.x1 = a.x0 + max(width(l.face, l.s), setWidth(l.face, l.s))
		if a.x0 < sheetAcross-0.1 || a.x1 > g.w-sheetAcross+0.1 || a.y0 < tight.edge-3 || a.y1 > g.h-tight.edge+3 {
			t.Errorf("%s: %q leaves the margins", name, a.s)
		}
		boxes = append(boxes, a)
	}
	standApart(t, name, boxes)
}

// Every word of the page is on it, in the order given.
func TestSheetHasAllItsTexts(t *testing.T) {
	s := note()
	_, r := drawn(t, s)
	var said []string
	for _, l := range r.texts {
		said = append(said, l.s)
	}
	all := strings.Join(said, " ")
	want := []string{s.Title, s.Subtitle}
	for i, b := range s.Blocks {
		want = append(append(want, b.Heading), b.Lines...)
		if i == 0 {
			want = append(want, s.Picture.Title, s.Picture.Rows[0].Caption, s.Picture.Rows[1].Caption, "quedan vivas", "quizá vivan", "quizá mueran", "mueren")
		}
	}
	at := 0
	for _, w := range want {
		i := strings.Index(all[at:], w)
		if i < 0 {
			t.Fatalf("%q is not on the page after %q", w, all[max(0, at-40):at])
		}
		at += i + len(w)
	}
	for _, w := range append(s.SmallPrint, s.Mark) {
		if !strings.Contains(all, w) {
			t.Errorf("%q is not on the page", w)
		}
	}
}

// Two files of one value are the same, and small.
func TestSheetBytes(t *testing.T) {
	for name, s := range sheets() {
		a, b := file(t, s, PDF), file(t, s, PDF)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: drawn twice, the bytes differ", name)
		}
		if len(a) > 60_000 {
			t.Errorf("%s: %d bytes, want at most 60000", name, len(a))
		}
		if n := bytes.Count(a, []byte("/Type /Page\n")); n != 1 {
			t.Errorf("%s: %d pages", name, n)
		}
	}
	doc := file(t, note(), PDF)
	for _, want := range []string{"/Lang (es)", "/MediaBox [0 0 595.28 841.89]", "D:20000101000000"} {
		if !bytes.Contains(doc, []byte(want)) {
			t.Errorf("%q is not in the file", want)
		}
	}
	if doc := file(t, shortNote(), PDF); !bytes.Contains(doc, []byte("/MediaBox [0 0 612.00 792.00]")) {
		t.Error("Letter has another size")
	}
	if doc := file(t, ordinary(), PDF); bytes.Contains(doc, []byte("/Lang")) {
		t.Error("a figure states a language")
	}
}

// A reader of another make finds the accents, and the letters of other alphabets.
func TestSheetIsReadElsewhere(t *testing.T) {
	tool := needs.Tool(t, "pdftotext", "reads a file with it")
	for name, want := range map[string][]string{
		"sheet":       {"¿cuántas", "Con qué seguridad", "Envíenos al menos 280 varroas", "amitraz: alrededor de 18"},
		"sheet-greek": {"Τα ακάρεα βαρρόα σας", "Клещи варроа", "Это закон."},
	} {
		path := filepath.Join(t.TempDir(), "note.pdf")
		if err := os.WriteFile(path, file(t, sheets()[name], PDF), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(tool, "-layout", path, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range want {
			if !strings.Contains(string(out), w) {
				t.Errorf("%s: %q is not among the texts", name, w)
			}
		}
	}
}

// A strong block stands bold on a tint that its text can be read on.
func TestStrongBlock(t *testing.T) {
	g, r := drawn(t, note())
	fills := &fillsOf{}
	g.draw(pen{fills})
	tints := 0
	for _, c := range fills.colours {
		if c == sheetTint {
			tints++
		}
	}
	if tints != 1 {
		t.Errorf("%d tints, want 1", tints)
	}
	for _, l := range r.texts {
		if l.s == "Sus varroas resisten a tau-fluvalinato." && !isBold(l.face) {
			t.Error("the finding is not bold")
		}
	}
	if got := contrast(ink, sheetTint); got < 7 {
		t.Errorf("text on the tint: contrast %.2f", got)
	}
}

func TestWhatSheetsCannotDraw(t *testing.T) {
	for want, change := range map[string]func(*Sheet){
		`a page in the language "es)"`:         func(s *Sheet) { s.Language = "es)" },
		"a picture after 9 of 7 blocks":        func(s *Sheet) { s.PictureAfter = 9 },
		"row 1 of the survivors: 71, 80 to 82": func(s *Sheet) { s.Picture.Rows = []SurvivorsRow{{Likely: 71, Low: 80, High: 82}} },
	} {
		s := note()
		change(&s)
		var b bytes.Buffer
		if err := Write(&b, s, PDF); err == nil || !strings.Contains(err.Error(), want) || b.Len() > 0 {
			t.Errorf("error %v, want one with %q; %d bytes written", err, want, b.Len())
		}
	}
}
