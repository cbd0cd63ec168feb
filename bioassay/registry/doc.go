// Package registry is the memory of a programme: one SQLite file with the
// counts of all assays, its apiaries, and the history of every change.
//
// The counts are the record. They are appended and never overwritten: an
// amendment adds a revision, and the older one stays. Every change is an event
// that says who made it, when and why, and from which file; the events form a
// chain of hashes, so that [Registry.Verify] notices rows that were edited
// behind the registry's back. Whoever noted the hash of the newest event
// elsewhere can also tell a rewritten chain from the true one.
//
// An assay is identified by its name, an apiary by its code, within the one
// programme that a registry serves. Names are compared as Unicode text, upper
// and lower case apart. A file is imported as a whole or not at all; rows that
// are known already are skipped, and rows that differ are a [Conflict], which
// only an amendment with a reason accepts.
//
// The package is the only one that knows SQL. Files of a registry must lie on
// a local disk: the write-ahead log does not work over a network share.
package registry
