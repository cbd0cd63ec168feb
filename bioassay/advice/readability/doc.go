// Package readability measures how hard a text is to read, by the two formulas
// that the notes are held to: the Flesch-Kincaid grade for English and the
// reading ease of Fernández Huerta for Spanish. Both see word and sentence
// length alone; they do not replace reading the text aloud.
package readability
