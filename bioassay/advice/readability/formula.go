package readability

// Counts are what both formulas take.
type Counts struct {
	Sentences, Words, Syllables int
}

// CountEnglish and CountSpanish count the sentences, words and syllables of a
// text.
func CountEnglish(text string) Counts { return count(text, SyllablesEnglish) }

// CountSpanish counts as CountEnglish does, in Spanish.
func CountSpanish(text string) Counts { return count(text, SyllablesSpanish) }

// Grade is the Flesch-Kincaid grade, the year of an American school at which a
// text is understood:
//
//	0.39 words/sentences + 11.8 syllables/words - 15.59
//
// (Kincaid, Fishburne, Rogers & Chissom 1975, Derivation of new readability
// formulas for Navy enlisted personnel, Research Branch Report 8-75). A text
// without a word has grade 0.
func (c Counts) Grade() float64 {
	if c.Words == 0 {
		return 0
	}
	return 0.39*c.perSentence() + 11.8*c.perWord() - 15.59
}

// Ease is the reading ease of Fernández Huerta, 100 for a very easy text and 0
// for a very hard one:
//
//	206.84 - 0.60 P - 1.02 F
//
// with P the syllables in 100 words and F the words in a sentence (Fernández
// Huerta 1959, Medidas sencillas de lecturabilidad, Consigna 214:29-32). Print
// has F as the sentences in 100 words, by which longer sentences would be
// easier; that is an error, as Law (2011, LINGUIST List 22.2332) shows by the
// formula of Flesch that it was adapted from. A text without a word has 100.
func (c Counts) Ease() float64 {
	if c.Words == 0 {
		return 100
	}
	return 206.84 - 0.60*100*c.perWord() - 1.02*c.perSentence()
}

func (c Counts) perSentence() float64 { return float64(c.Words) / float64(max(1, c.Sentences)) }
func (c Counts) perWord() float64     { return float64(c.Syllables) / float64(c.Words) }
