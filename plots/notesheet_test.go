package plots

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
			Words: SurvivorsWords{"quedan vivas", "no se sabe", "mueren"},
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
	return map[string]Figure{"sheet": note(), "sheet-letter": letter, "sheet-short": shortNote(), "sheet-empty": Sheet{}}
}
