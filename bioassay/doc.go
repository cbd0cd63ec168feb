// Package bioassay holds the things a mite bioassay is made of: containers and
// their counts, the assay they belong to, the population, apiary and season it
// speaks for, and the remarks made about them on the way.
//
// Values keep what was entered beside what was understood, and where it stood
// in the file, so that any later remark can point at the line it is about.
package bioassay
