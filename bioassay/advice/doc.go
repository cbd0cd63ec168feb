// Package advice turns the findings on the mites of one apiary into one page
// of plain words for the beekeeper: what was found, how sure that is, what to
// do next and what not to do.
//
// Rules decide which statements a note holds; they are a table that can be read
// ([Rules]), and every statement keeps its rule and the findings behind it
// ([Note.Explain]). The sentences stand in message catalogues, one file for each
// language; a further language needs a file and no code.
//
// A note names no dose and no date of a treatment. It names as alternatives
// only actives on the programme's own list of those authorised where the hives
// stand, and it says "resistant" only where the limits exclude what susceptible
// mites vary by.
package advice
