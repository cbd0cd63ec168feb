package plots

func survivors(rows ...SurvivorsRow) Survivors {
	return Survivors{Caption: Caption{Title: "Of 100 mites, how many would likely live?"}, Rows: rows}
}

var resistantRow = SurvivorsRow{Name: "amitraz", Likely: 71, Low: 58, High: 82, Caption: "about 71, perhaps 58 to 82."}

// pictures are pictures of survivors.
func pictures() map[string]Figure {
	unclear := SurvivorsRow{Name: "coumaphos", Likely: 18, Low: 3, High: 47, Caption: "about 18, perhaps 3 to 47."}
	spanish := survivors(SurvivorsRow{Likely: 1, High: 4, Caption: "tau-fluvalinato: alrededor de 1, quizá de 0 a 4."}, SurvivorsRow{Name: "cumafós", Likely: 100, Low: 96, High: 100, Caption: "alrededor de 100, quizá de 96 a 100."})
	spanish.Title, spanish.Words = "De cada 100 varroas, ¿cuántas quedarían vivas?", SurvivorsWords{"quedan vivas", "no se sabe", "mueren"}
	spanish.Width, spanish.Mark = 150*2.8346, "datos inventados"
	small := survivors(resistantRow)
	small.Width = 60 * 2.8346
	return map[string]Figure{
		"survivors": survivors(resistantRow), "survivors-two": survivors(resistantRow, unclear), "survivors-wide": spanish, "survivors-small": small,
		"survivors-plain": Survivors{Rows: []SurvivorsRow{{}}},
	}
}
